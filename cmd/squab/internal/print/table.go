package print

import (
	"bytes"
	"strings"

	"squab/lang/diag"
)

// table is a text table. Columns that hold measures stand against the right, so that units and fractions lie under one another.
type table struct {
	heads []string
	right []bool
	rows  [][]string
}

// column adds a column.
func (t *table) column(head string, right bool) {
	t.heads = append(t.heads, head)
	t.right = append(t.right, right)
}

func (t *table) row(cells ...string) {
	for i := range cells {
		cells[i] = clean(cells[i])
	}
	t.rows = append(t.rows, cells)
}

const (
	tableIndent = 2
	tableGap    = 2
	leastColumn = 8
)

// widths gives each column its width; the widest text column gives way where the table is too wide.
func (t *table) widths() []int {
	widths := make([]int, len(t.heads))
	for i, head := range t.heads {
		widths[i] = diag.Columns(head)
		for _, row := range t.rows {
			widths[i] = max(widths[i], diag.Columns(row[i]))
		}
	}
	for over := t.over(widths); over > 0; over = t.over(widths) {
		at := widest(widths)
		if widths[at] <= leastColumn {
			break
		}
		widths[at] = max(leastColumn, widths[at]-over)
	}
	return widths
}

func (t *table) over(widths []int) int {
	total := tableIndent - tableGap
	for _, w := range widths {
		total += w + tableGap
	}
	return total - maxWidth
}

func widest(widths []int) int {
	at := 0
	for i, w := range widths {
		if w > widths[at] {
			at = i
		}
	}
	return at
}

func (t *table) write(p Page, b *strings.Builder) {
	widths := t.widths()
	var head strings.Builder
	t.writeRow(&head, t.heads, widths)
	b.WriteString(p.paint(blue, strings.TrimSuffix(head.String(), "\n")) + "\n")
	for _, row := range t.rows {
		t.writeRow(b, row, widths)
	}
}

// writeRows writes the rows without a heading, with a line left free after the first of them.
func (t *table) writeRows(b *strings.Builder, first int) {
	widths := t.widths()
	for i, row := range t.rows {
		if i == first {
			b.WriteString("\n")
		}
		t.writeRow(b, row, widths)
	}
}

// writeRow writes one row, over as many lines as its longest cell needs.
func (t *table) writeRow(b *strings.Builder, cells []string, widths []int) {
	parts := make([][]string, len(cells))
	height := 1
	for i, cell := range cells {
		parts[i] = Wrap(cell, max(1, widths[i]))
		height = max(height, len(parts[i]))
	}
	var room [2 * maxWidth]byte
	for n := range height {
		line := blanks(room[:0], tableIndent)
		for i := range cells {
			part := ""
			if n < len(parts[i]) {
				part = parts[i][n]
			}
			line = blanks(padded(line, part, widths[i], t.right[i]), tableGap)
		}
		b.Write(append(bytes.TrimRight(line, " "), '\n'))
	}
}
