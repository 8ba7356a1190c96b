package column

import (
	"fmt"

	"squab/eval/check"
	"squab/eval/quantity"
)

// Source is what a program is made from: a recipe laid out, and what holds on its day.
type Source struct {
	Slots     []check.Slot
	Order     []int // of the slots, each after those that it reads
	Parts     []Instance
	Roots     []int // slots that nothing reads, whose faults refuse an order
	Materials []*check.Material
	Style     quantity.Style
	MaxItems  int
	MaxSteps  int
	Judge     Judgement // what Sound is to tell
	Price     Price     // behind the recipe's slots

	Range  func(*check.Cell) Range
	Bodies func(*check.Rule) []*check.Body
	Field  func(*check.Material, int) (check.Value, bool)
	Keep   func(*Program) []int // the slots whose values are read; it may ask which are proven
}

// Instance is a recipe or a part of it, whose slots begin at Base.
type Instance struct {
	Recipe *check.Recipe
	Base   int
}

// Range is a range as it is on the day; Untold where its ends cannot be worked out.
type Range struct {
	From, To       quantity.Number
	HasFrom, HasTo bool
	Untold         bool
}

// Program works the slots of a recipe out for many orders.
type Program struct {
	src     Source
	slots   []slot
	inputs  []Input
	unfit   int32 // orders whose asks the program does not cover
	sound   value // orders that nothing refuses
	judged  string
	main    *block
	columns int
	lists   int
	consts  []preset
	place   []int32

	materials []check.Value
	plain     []output
	others    []int
}

// slot is a slot's value, or why it could not be proven.
type slot struct {
	value value
	why   string
	kept  bool
}

// compiler makes a program.
type compiler struct {
	builder
	src    Source
	slots  []slot
	inputs []Input
	steps  int64
	often  int64 // how often what is being made may run for one order
}

// Compile makes a program for a recipe. It is an error where no order can be worked out by it.
func Compile(src Source) (*Program, error) {
	c := &compiler{builder: *newBuilder(), src: src, slots: make([]slot, len(src.Slots)), often: 1}
	unfit := c.register()
	c.makeInputs()
	for _, i := range src.Order {
		c.makeSlot(i)
	}
	if c.steps > int64(src.MaxSteps) {
		return nil, fmt.Errorf("one order may take more than %d steps", src.MaxSteps)
	}
	p := &Program{src: src, slots: c.slots, inputs: c.inputs, unfit: unfit}
	p.judged = "it was not asked for"
	if src.Judge != NotJudged {
		j := c.judge(unfit)
		if src.Judge == ByArea {
			p.sound = c.judgeByArea(j)
		} else {
			p.sound = mask(c.not(j.refused))
		}
		p.judged = c.why
	}
	for _, m := range src.Materials {
		p.materials = append(p.materials, check.Value{Obj: &check.Object{Material: m}})
	}
	c.finishProgram(p)
	return p, nil
}

// step counts a rule called or a turn of a loop.
func (c *compiler) step() { c.spend(1) }

// spend counts work that may be done as often as what is being made runs.
func (c *compiler) spend(steps int64) {
	c.steps += steps * c.often
	if c.steps > int64(c.src.MaxSteps) {
		c.fail("it may take too many steps")
	}
}

// makeSlot makes one slot's value; an ask's was made before, where the order gives it.
func (c *compiler) makeSlot(i int) {
	s := c.src.Slots[i]
	if c.slots[i].why != "" {
		return
	}
	var v value
	switch given := c.slots[i].value; {
	case given.form == nothing && s.Formula == nil:
		c.fail("nothing gives it")
	case s.Formula == nil:
		v = given
	case given.form == nothing:
		v = c.compile(s.Formula.Expr, scope{home: s.Home})
	default:
		v = c.choose(mask(c.givenOperand(i)), given, c.compile(s.Formula.Expr, scope{home: s.Home}))
	}
	if s.Cell.Role == check.AskCell && i != check.OffIndex {
		v = c.inRange(v, c.src.Range(s.Cell))
	}
	c.slots[i] = slot{value: v, why: c.why}
	c.why = ""
}

// finishProgram keeps what is read of a program when it has run.
func (c *compiler) finishProgram(p *Program) {
	var read needs
	for _, i := range p.src.Keep(p) {
		if s := &p.slots[i]; p.HasValue(i) {
			s.kept = true
			read.add(s.value)
		}
	}
	if p.judged == "" {
		read.add(p.sound)
	}
	inputs := []int32{p.unfit}
	for _, in := range p.inputs {
		inputs = append(inputs, in.reg, in.given)
	}
	c.finish(p, inputs, read)
	p.plain, p.others = p.outputs()
}

// needs lists the registers and the lists that are read when a program has run.
type needs struct{ regs, lists []int32 }

func (n *needs) add(v value) {
	v.each(func(x operand) operand {
		n.addRegister(x)
		return x
	})
	n.addRegister(v.taint)
	if v.form == list {
		n.lists = append(n.lists, v.list.id)
	}
}

func (n *needs) addRegister(x operand) {
	if !x.isFixed() {
		n.regs = append(n.regs, x.reg)
	}
}

// Why says why a slot could not be proven; "" where it was. A text is proven but holds no words: HasValue is false.
func (p *Program) Why(i int) string { return p.slots[i].why }

// HasValue reports whether the program gives a slot's value.
func (p *Program) HasValue(i int) bool {
	f := p.slots[i].value.form
	return p.slots[i].why == "" && f != words && f != nothing
}

// IsText reports whether a slot is a text, which no column holds.
func (p *Program) IsText(i int) bool { return p.slots[i].why == "" && p.slots[i].value.form == words }

// Always reports whether the program gives a slot's value for every order that it covers.
func (p *Program) Always(i int) bool { return p.HasValue(i) && p.slots[i].value.taint.is(0) }

// Unjudged says why the program cannot tell which orders are sound; "" where it can.
func (p *Program) Unjudged() string { return p.judged }
