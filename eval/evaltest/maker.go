// Package evaltest makes books at random, for the tests of whatever works books out.
package evaltest

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Trade is a small trade, which every random book adds to.
const Trade = `
choice stuff = woven, velvet, vinyl
kind cloth: roll {
  usable: length from 12 in to 130 in = 53 in
  stuff:  stuff = woven
  price:  money per length
  sold:   length = 1/4 yd
  charged: length = sold
  ease:   length = 0 in
}
kind thread: supply {
  price: money per length
  sold:  length = 10 yd
}
material harbour_tweed: cloth { price = $41.50 per yd }
material quay_vinyl: cloth {
  stuff = vinyl
  price = $20 per yd
  ease = 3/2 in
}
material waxed: thread { price = $0.04 per yd }
rule labour_rate: money per time = $45 per h
rule seam(c: cloth): length {
  5/8 in when c.stuff is vinyl
  1/2 in otherwise
}
price {
  charge material = bought
  charge labour   = worked
  charge other    = extras
}
`

// Choices makes the bytes from which the n-th random book is made.
func Choices(n uint64) []byte {
	r := rand.New(rand.NewPCG(n, 1852))
	choices := make([]byte, 300+r.IntN(700))
	for i := range choices {
		choices[i] = byte(r.Uint32())
	}
	return choices
}

// Book makes a book of rules, a part, a recipe and orders for it. Some are not sound: a fixed value may lie outside an ask's range.
func Book(choices []byte) string {
	m := maker{choices: choices}
	return m.book()
}

// Pieces makes a book whose order can mostly be made: of pieces with sizes at random that lie between an inch and 90 in, and what is used and worked for them.
func Pieces(choices []byte) string {
	m := maker{choices: choices}
	return m.trade() + m.pieces()
}

// maker makes a book at random. Every choice takes a byte, so that a fuzzer can steer it; after the last byte every choice is the first, which ends all nesting.
type maker struct {
	choices []byte
	vars    scopeOf // the names in scope, by kind
	rules   scopeOf // calls with %s for arguments
}

// kind is the kind of a formula that the maker can make.
type kind string

const (
	length kind = "length"
	number kind = "number"
	count  kind = "count"
	yesNo  kind = "yes/no"
	money  kind = "money"
	stuff  kind = "stuff"
	cloth  kind = "cloth"
	size   kind = "size"
	list   kind = "list of length"
	points kind = "list of point"
)

type scopeOf map[kind][]string

func (m *maker) pick(n int) int {
	if len(m.choices) == 0 {
		return 0
	}
	c := m.choices[0]
	m.choices = m.choices[1:]
	return int(c) % n
}

func (m *maker) one(all ...string) string { return all[m.pick(len(all))] }

// leaf is a formula that nests no further.
func (m *maker) leaf(k kind) string {
	if names := m.vars[k]; len(names) > 0 && (k == yesNo || m.pick(4) > 0) {
		return names[m.pick(len(names))]
	}
	switch k {
	case length:
		return m.one("1 in", "0 in", "3/8 in", "10 mm", "2 ft", "4 5/16 in", "1/3 in", "7 in")
	case number:
		return m.one("1", "0", "1/2", "15%", "2.5", "7/3", "-3")
	case count:
		return m.one("1", "0", "2", "3", "5")
	case yesNo:
		return m.one("yes", "no")
	case money:
		return m.one("$1", "$0", "$41.50", "$0.07")
	case stuff:
		return m.one("quay_vinyl.stuff", "pile.stuff")
	case cloth:
		return m.one("harbour_tweed", "quay_vinyl", "pile")
	case size:
		return "(1 in by 2 in)"
	case points:
		return "[1 in at 0 in]"
	}
	return "[1 in, 3 in]"
}

// formula makes a formula of a kind, at most depth deep.
func (m *maker) formula(k kind, depth int) string {
	if depth == 0 || m.pick(5) == 0 {
		return m.leaf(k)
	}
	f := func(k kind) string { return m.formula(k, depth-1) }
	if calls := m.rules[k]; len(calls) > 0 && m.pick(4) == 3 {
		return m.call(calls[m.pick(len(calls))], depth)
	}
	if m.pick(6) == 5 {
		return fmt.Sprintf("(if %s then %s else %s)", f(yesNo), f(k), f(k))
	}
	switch k {
	case length:
		return m.length(f)
	case number:
		return m.number(f)
	case count:
		return m.count(f)
	case yesNo:
		return m.yesNo(f)
	case money:
		return m.money(f)
	case size:
		return fmt.Sprintf("(%s by %s)", f(length), f(length))
	case list:
		return m.list(f, depth)
	case points:
		return m.each(depth, points, func(f func(kind) string) string { return "(" + f(length) + ") at (" + f(length) + ")" })
	}
	return m.leaf(k)
}

// call fills a rule's arguments in: {length} stands for a formula of that kind.
func (m *maker) call(form string, depth int) string {
	for _, k := range []kind{length, number, count, yesNo, stuff, cloth} {
		for strings.Contains(form, "{"+string(k)+"}") {
			form = strings.Replace(form, "{"+string(k)+"}", m.formula(k, depth-1), 1)
		}
	}
	return form
}

func (m *maker) length(f func(kind) string) string {
	switch m.pick(14) {
	case 0, 1:
		return fmt.Sprintf("(%s %s %s)", f(length), m.one("+", "-"), f(length))
	case 2:
		return fmt.Sprintf("(%s * %s)", f(length), f(number))
	case 3:
		return fmt.Sprintf("(%s / %s)", f(length), divisor(f(count)))
	case 4:
		return fmt.Sprintf("(%s / (%s))", f(length), divisor(f(number)))
	case 5, 6:
		return fmt.Sprintf("(%s rounded %s %s)", f(length), m.one("up to", "down to", "to"), m.one("1/16 in", "1/8 in", "1/4 in", "1 in", "3 mm", "2/3 in"))
	case 7:
		return fmt.Sprintf("(%s rounded %s %s)", f(length), m.one("up to", "down to", "to"), divisor(f(length)))
	case 8:
		return fmt.Sprintf("%s(%s, %s)", m.one("min", "max"), f(length), f(length))
	case 9:
		return fmt.Sprintf("%s(%s)", m.one("sum", "first", "last", "min", "max"), f(list))
	case 10:
		return fmt.Sprintf("%s[%s]", m.parens(f(list)), f(count))
	case 11:
		return fmt.Sprintf("(%s mod %s)", f(length), f(length))
	case 12:
		return f(size) + m.one(".wide", ".deep")
	}
	return m.one("abs("+f(length)+")", "-("+f(length)+")", f(cloth)+m.one(".usable", ".ease"))
}

// divisor hides a written 0, which the checker refuses before an order is run.
func divisor(s string) string {
	switch s {
	case "0", "0 in", "-3":
		return "(" + s + " + " + s + ")"
	}
	return s
}

// parens puts brackets round what could not be followed by a place in a list.
func (m *maker) parens(s string) string { return "(" + s + ")" }

func (m *maker) number(f func(kind) string) string {
	switch m.pick(7) {
	case 0, 1:
		return fmt.Sprintf("(%s %s %s)", f(number), m.one("+", "-", "*"), f(number))
	case 2:
		return fmt.Sprintf("(%s / %s)", f(length), divisor(f(length)))
	case 3:
		return fmt.Sprintf("(%s / %s)", f(number), divisor(f(count)))
	case 4:
		return fmt.Sprintf("(%s rounded %s %s)", f(number), m.one("up to", "down to", "to"), m.one("1/4", "1", "0.1"))
	case 5:
		return fmt.Sprintf("(%s mod %s)", f(number), f(number))
	}
	return f(count)
}

func (m *maker) count(f func(kind) string) string {
	switch m.pick(6) {
	case 0, 1:
		return fmt.Sprintf("(%s %s %s)", f(count), m.one("+", "-"), f(count))
	case 2:
		return fmt.Sprintf("(%s %s %s)", f(count), m.one("*", "mod"), f(count))
	case 3:
		return fmt.Sprintf("(%s rounded %s 1)", f(number), m.one("up to", "down to", "to"))
	case 4:
		return fmt.Sprintf("count(%s)", f(list))
	}
	return fmt.Sprintf("max(%s, %s)", f(count), f(count))
}

func (m *maker) yesNo(f func(kind) string) string {
	op := m.one("<", "<=", ">", ">=", "=")
	switch m.pick(7) {
	case 0, 1:
		return fmt.Sprintf("(%s %s %s)", f(length), op, f(length))
	case 2:
		return fmt.Sprintf("(%s %s %s)", f(number), op, f(number))
	case 3:
		return fmt.Sprintf("(%s %s %s)", f(yesNo), m.one("and", "or"), f(yesNo))
	case 4:
		return fmt.Sprintf("(not %s)", f(yesNo))
	case 5:
		return fmt.Sprintf("(%s %s %s)", f(stuff), m.one("is", "is not"), m.one("vinyl", "velvet", "woven"))
	}
	return fmt.Sprintf("(%s %s %s)", f(cloth), m.one("is", "is not"), f(cloth))
}

func (m *maker) money(f func(kind) string) string {
	switch m.pick(5) {
	case 0:
		return fmt.Sprintf("(%s %s %s)", f(money), m.one("+", "-"), f(money))
	case 1:
		return fmt.Sprintf("(%s * %s)", f(money), f(number))
	case 2:
		return fmt.Sprintf("(%s.price * %s)", f(cloth), f(length))
	case 3:
		return fmt.Sprintf("(%s rounded %s %s)", f(money), m.one("up to", "down to", "to"), m.one("$0.01", "$0.25", "$1"))
	}
	return fmt.Sprintf("(%s / %s)", f(money), divisor(f(count)))
}

func (m *maker) list(f func(kind) string, depth int) string {
	switch m.pick(5) {
	case 0:
		return fmt.Sprintf("[%s, %s, %s]", f(length), f(length), f(length))
	case 1:
		return fmt.Sprintf("(for each x%d of %s: %s)", depth, f(list), m.with(length, fmt.Sprintf("x%d", depth), func() string { return m.formula(length, depth-1) }))
	}
	return m.each(depth, list, func(f func(kind) string) string { return f(length) })
}

// each makes a for each over counts; its bounds are small, so that lists stay short.
func (m *maker) each(depth int, _ kind, body func(func(kind) string) string) string {
	name := fmt.Sprintf("i%d", depth)
	from, to := m.one("1", "0", "2"), m.one("3", m.leaf(count)+" mod 5", m.leaf(count)+" mod 4", "2", "0")
	inside := func() string { return body(func(k kind) string { return m.formula(k, depth-1) }) }
	if m.pick(3) == 2 {
		second := fmt.Sprintf("k%d", depth)
		return fmt.Sprintf("(for each %s from %s to %s, %s from %s to %s: %s)", name, from, to, second, m.one("1", name), m.one("2", name, m.leaf(count)+" mod 3"),
			m.with(count, name, func() string { return m.with(count, second, inside) }))
	}
	return fmt.Sprintf("(for each %s from %s to %s: %s)", name, from, to, m.with(count, name, inside))
}

// with makes a formula in which a further name stands.
func (m *maker) with(k kind, name string, make func() string) string {
	before := m.vars[k]
	m.vars[k] = append(before[:len(before):len(before)], name)
	made := make()
	m.vars[k] = before
	return made
}

// trade is the small trade with a further cloth, and rules and tables at random.
func (m *maker) trade() string {
	var b strings.Builder
	b.WriteString(Trade)
	b.WriteString("material pile: cloth {\n  stuff = velvet\n  price = $33 per yd\n  usable = 4 ft\n  ease = 1/3 in\n}\namend material pile from 2026-04-01 { usable = 45 in }\n")
	m.rules = scopeOf{}
	for i := range m.pick(4) {
		b.WriteString(m.rule(i))
	}
	if m.pick(2) == 1 {
		b.WriteString(bands)
		m.rules[length] = append(m.rules[length], "banded({length}, {stuff})", "ramp({length})")
	}
	return b.String()
}

// book makes a book of rules, a part, a recipe and orders for it.
func (m *maker) book() string {
	text := m.trade() + m.recipe()
	for i := range 3 {
		text += m.order(i)
	}
	return text
}

func (m *maker) pieces() string {
	m.vars = askNames()
	text := "recipe pad {" + asks
	within := func() string { return fmt.Sprintf("max(1 in, min(90 in, %s))", m.formula(length, 4)) }
	for i := range 1 + m.pick(3) {
		text += fmt.Sprintf("  piece p%d from %s, max(0, min(9, %s)) off = %s by %s when %s\n", i, m.leaf(cloth), m.formula(count, 2), within(), within(), m.formula(yesNo, 2))
	}
	text += fmt.Sprintf("  use %s of waxed when %s\n", within(), m.formula(yesNo, 2))
	text += fmt.Sprintf("  work sew = 1 min * max(0, min(99, %s))\n", m.formula(number, 3))
	return text + "}\norder 0 {\n  make pad, 2 off\n  date = 2026-04-02\n  wide = 24 5/8 in\n  welted = " + m.one("yes", "no") + "\n  cover = " + m.one("pile", "quay_vinyl", "harbour_tweed") + "\n}\n"
}

// bands holds tables, which the checker wants to be complete, so they are not made at random.
const bands = `
table banded(w: length from 0 in to 40 in, stuff: stuff): length {
  w                     | stuff         | gives
  up to 2 in            | any           | 1 1/4 in
  over 2 in under 9 in  | vinyl, velvet | w / 3
  from 2 in up to 9 in  | any           | 1 1/2 in
  over 9 in             | any           | 4 * w
}
table ramp(w: length from 0 in to 30 in): length interpolated {
  w     | gives
  0 in  | 1 in
  8 in  | 3 in
  30 in | 2 1/2 in
}
amend table banded from 2026-04-01 {
  w    | stuff | gives
  4 in | any   | 40 in
}
`

// rule makes a rule with parameters, cells of its own, cases and an amendment, which later rules may call.
func (m *maker) rule(i int) string {
	m.vars = scopeOf{length: {"run"}, count: {"folds"}, cloth: {"c"}, stuff: {"c.stuff"}, yesNo: {"run > 7 in", "folds = 1", "run + 1 in < folds * 3 in"}}
	name := fmt.Sprintf("rule_%d", i)
	ranges := m.one("", " from 0 in to 3 ft", " from 1/2 in to 9 ft")
	text := fmt.Sprintf("rule %s(run: length%s, c: cloth, folds: count = %s): length {\n", name, ranges, m.one("2", "3"))
	text += fmt.Sprintf("  own = %s\n", m.formula(length, 2))
	m.vars[length] = append(m.vars[length], "own")
	for range m.pick(3) {
		text += fmt.Sprintf("  %s when %s\n", m.formula(length, 2), m.formula(yesNo, 2))
	}
	text += fmt.Sprintf("  %s otherwise\n}\n", m.formula(length, 3))
	if m.pick(2) == 1 {
		m.vars = scopeOf{length: {"r"}, count: {"f"}, cloth: {"k"}, stuff: {"k.stuff"}, yesNo: {"r < 5/8 in", "f >= 2", "r / 2 in = f"}}
		text += fmt.Sprintf("amend %s(r, k, f) from 2026-0%d-01 {\n  %s when %s\n}\n", name, m.pick(3)+3, m.formula(length, 2), m.formula(yesNo, 2))
	}
	m.rules[length] = append(m.rules[length], name+"({length}, {cloth})", name+"({length}, c: {cloth}, folds: {count})")
	return text
}

const asks = `
  ask wide: length from 1 in to 20 ft
  ask deep: length = 17 3/4 in
  ask n: count from 0 to 6 = 3
  ask rows: count = n
  ask share: number from -1 to 4 = 1/2
  ask cover: cloth = harbour_tweed
  ask other: cloth = cover
  ask welted: yes/no = no
  ask paid: money from $0 to $500 = $12.34
`

func askNames() scopeOf {
	return scopeOf{length: {"wide", "deep"}, count: {"n", "rows", "off"}, number: {"share"}, cloth: {"cover", "other"}, yesNo: {"welted"}, money: {"paid"}, stuff: {"cover.stuff", "other.stuff"}}
}

// recipe makes a part and a recipe around it.
func (m *maker) recipe() string {
	m.vars = scopeOf{length: {"wide"}, count: {"n", "rows", "off"}, cloth: {"cover", "other"}, stuff: {"cover.stuff"}}
	text := "recipe inner {\n  ask wide: length\n  ask n: count = 2\n  ask rows: count = n\n  ask cover: cloth = quay_vinyl\n  ask other: cloth = cover\n"
	text += fmt.Sprintf("  inside = %s\n  edge = %s\n}\n", m.formula(length, 3), m.formula(length, 2))
	m.vars = askNames()
	text += "recipe pad {" + asks
	kinds := []kind{length, number, count, yesNo, money, size, list, points}
	for i := range 4 + m.pick(8) {
		k := kinds[m.pick(len(kinds))]
		name := fmt.Sprintf("x%d_%c", i, k[0])
		text += fmt.Sprintf("  %s = %s\n", name, m.formula(k, 4))
		m.vars[k] = append(m.vars[k], name)
		if i == 3 {
			text += fmt.Sprintf("  part a, %s off = inner { wide = %s }\n", m.leaf(count), m.formula(length, 3))
			m.vars[length] = append(m.vars[length], "a.inside", "a.edge", "a.wide")
		}
	}
	text += fmt.Sprintf("  need %s else \"no\"\n", m.formula(yesNo, 2))
	text += fmt.Sprintf("  piece p from %s, %s off = %s when %s\n", m.leaf(cloth), m.formula(count, 1), m.formula(size, 2), m.formula(yesNo, 1))
	text += fmt.Sprintf("  marks q on p = %s when %s { hole = %s }\n", m.formula(points, 3), m.formula(yesNo, 1), m.formula(length, 1))
	return text + "}\n"
}

// order makes an order; an ask now and then lies outside its range.
func (m *maker) order(i int) string {
	text := fmt.Sprintf("order %d {\n  make pad, %d off\n  date = 2026-0%d-01\n", i, m.pick(3)+1, m.pick(4)+2)
	text += "  wide = " + m.one("24 5/8 in", "1 in", "300 mm", "19 ft 11 63/64 in", "7/3 in", "1 in / 3 + 1 in") + "\n"
	for _, ask := range []struct {
		name   string
		values []string
	}{
		{"deep", []string{"", "3 in", "0 in", "-4 in", "12 1/128 in", "4000 m"}},
		{"n", []string{"", "0", "1", "4", "6"}},
		{"rows", []string{"", "0", "-2", "3", "70"}},
		{"share", []string{"", "0", "3/7", "-1", "3.99", "2 * 4"}},
		{"cover", []string{"", "quay_vinyl", "pile"}},
		{"welted", []string{"", "yes"}},
		{"paid", []string{"", "$0", "$99.99", "$1 / 3"}},
	} {
		if v := m.one(ask.values...); v != "" {
			text += "  " + ask.name + " = " + v + "\n"
		}
	}
	return text + "}\n"
}
