package check_test

import (
	"fmt"
	"strings"
	"testing"

	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
	"squab/lang/diag/benchtest"
)

// houseBook writes a book of about so many lines, of all that a house's book is made of.
func houseBook(lines int) string {
	var b strings.Builder
	for i := 0; strings.Count(b.String(), "\n") < lines; i++ {
		fmt.Fprintf(&b, `rule lip%[1]d(c: cloth, run: length from 1 in to 9 ft): length {
  wide = run > 30 in
  5/8 in         when c.stuff is vinyl and wide    because "stiff"
  run / 60       when c.stuff is velvet
  1/2 in         otherwise
}
table strip%[1]d(cord: length from 1/16 in to 1/2 in, stuff: stuff): length {
  cord                     | stuff | gives    | because
  up to 1/8 in             | any   | 1 1/4 in |
  over 1/8 in up to 1/4 in | vinyl | 1 3/4 in | "stiff over the cord"
  over 1/8 in up to 1/4 in | any   | 1 1/2 in |
  over 1/4 in              | any   | 2 in     |
}
amend lip%[1]d(c, run) from 2026-03-01 {
  3/8 in   when c.stuff is leather
}
material cloth%[1]d: cloth {
  usable = 52 in
  price  = $%[2]d per yd
}
recipe pad%[1]d "Pad" {
  ask wide: length from 10 in to 8 ft
  ask deep: length from 8 in to 40 in = 20 in
  ask cover: cloth = cloth%[1]d
  ask straps: count from 0 to 6 = 2
  need wide >= deep else "swap wide and deep"
  edge = lip%[1]d(cover, wide) + strip%[1]d(1/4 in, cover.stuff)
  gap  = wide / (straps + 1)
  piece top from cover = (wide + 2 * edge) by (deep + 2 * edge) { up = deep }
  marks straps_at on top = for each i from 1 to straps: (edge + i * gap) at edge
  work sewing at $1 per min = 4 min + 3 min * straps, setup 5 min
  charge collection = $0
  step "Mark {straps} straps, {gap} apart"
}
order %[1]d "Bench" {
  make pad%[1]d, 2 off
  date = 2026-04-02
  wide = 46 in
}
`, i, 20+i%30)
	}
	return b.String()
}

const houseKinds = `choice stuff = woven, velvet, vinyl, leather
kind cloth: roll {
  usable: length = 54 in
  stuff:  stuff = woven
  price:  money per length
  sold:   length = 1/4 yd
}
`

func benchmarkCheck(b *testing.B, lines int) {
	files := &diag.Files{}
	src := files.Add("house.squab", houseKinds+houseBook(lines), diag.House)
	var problems diag.List
	tree := []*lang.File{lang.Parse(src, lang.Limits{}, &problems)}
	b.ReportAllocs()
	clock := benchtest.Start()
	for b.Loop() {
		check.Check(files, tree, &problems)
	}
	if all := problems.All(); len(all) > 0 {
		b.Fatal(all[0].Message)
	}
	clock.Rate(b, float64(lines*b.N), "lines")
	b.ReportMetric(clock.Since().Seconds()*1000/float64(b.N), "ms/book")
}

// A house's book of 2,000 lines is to be checked in under 20 ms.
func BenchmarkCheck2000Lines(b *testing.B) { benchmarkCheck(b, 2_000) }

// Ten times the lines should take ten times as long.
func BenchmarkCheck20000Lines(b *testing.B) { benchmarkCheck(b, 20_000) }
