package eval

import "squab/eval/column"

// InUse makes a plan work as one that has filled many sheets.
func (p *Plan) InUse() { p.quick.fills = enoughFills }

// BatchByArea makes a batch whose rows are sound only where buying and price are so too.
func (p *Plan) BatchByArea() (*Batch, error) { return p.batch(column.ByArea, p.sequence) }
