package stdlib_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/spread"
	"squab/lang"
	"squab/lang/diag"
	"squab/stdlib"
)

// foamStandard is where each tolerance below is printed, besides the shared checks' foam-01 to foam-04.
const foamStandard = "Joint Industry Foam Standards and Guidelines, Polyurethane Foam Association, July 1994"

// foams states each of the standard's sorts as a material of its own. A slab's tolerances are the trade library's; the others a house states.
const foams = `
material slab: foam "Slab foam" {
  thick = 2 in
  wide  = 24 in
  deep  = 82 in
  price = $54 per each
}
material egg_box: foam "Convoluted foam" {
  thick = 2 in tolerance 1/8 in
  wide  = 24 in tolerance +1/4 in -0 in
  deep  = 82 in tolerance +1 in -0 in
  price = $54 per each
}
material thin_roll: foam "Roll goods, 1/2 in to 1 in" {
  thick = 1/2 in tolerance 1/16 in
  wide  = 60 in tolerance +1/4 in -0 in
  deep  = 100 in tolerance 0.5%
  price = $54 per each
}
material whole_bun: foam "Whole bun, for its trim" {
  thick = 12 in tolerance +0 in -3/4 in
  wide  = 76 in tolerance +0 in -1 in
  deep  = 82 in tolerance +1 in -0 in
  price = $54 per each
}
amend labour_rate = $50 per h because "for the checks"
recipe whole_sheet {
  ask pad: foam
  high = pad.thick
  piece side from pad = pad.thick by 10 in
  piece face from pad = pad.wide by pad.deep
}
`

// What a whole sheet may measure, by the standard: from, to.
var sheets = []struct {
	fact, material    string
	printed           string
	thick, wide, deep [2]string
}{
	{"foam-01", "slab", "length +1/2 -0; width +1/4 -0; thickness +-1/16", [2]string{"1 15/16 in", "2 1/16 in"}, [2]string{"24 in", "24 1/4 in"}, [2]string{"82 in", "82 1/2 in"}},
	{"foam-02", "egg_box", "length +1 -0; width +1/4 -0; thickness +-1/8", [2]string{"1 7/8 in", "2 1/8 in"}, [2]string{"24 in", "24 1/4 in"}, [2]string{"82 in", "83 in"}},
	{"foam-03", "thin_roll", "length +-0.5 %; width +1/4 -0; thickness +-1/16", [2]string{"7/16 in", "9/16 in"}, [2]string{"60 in", "60 1/4 in"}, [2]string{"99 1/2 in", "100 1/2 in"}},
	{"foam-04", "whole_bun", "width -1; thickness -3/4 for bottom skin; length +1", [2]string{"11 1/4 in", "12 in"}, [2]string{"75 in", "76 in"}, [2]string{"82 in", "83 in"}},
}

func TestFoamMayBeOutAsTheStandardPrints(t *testing.T) {
	text := foams
	for _, s := range sheets {
		text += "order " + s.material + "_order {\n  make whole_sheet\n  pad = " + s.material + "\n}\n"
	}
	files, problems := &diag.Files{}, diag.List{}
	var trees []*lang.File
	for _, src := range append(stdlib.AddTo(files), files.Add("foams.squab", text, diag.House)) {
		trees = append(trees, lang.Parse(src, lang.Limits{}, &problems))
	}
	p := check.Check(files, trees, &problems)
	for _, d := range problems.All() {
		if d.Severity == diag.Error {
			t.Fatal(d.Message)
		}
	}
	for i, s := range sheets {
		a, problems := spread.Question{Engine: &eval.Engine{Program: p}, Order: p.Orders[i], Day: 20000}.Answer()
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		holdSheet(t, p, s.fact, a, map[string][2]string{"side.wide": s.thick, "face.wide": s.wide, "face.deep": s.deep})
	}
}

func holdSheet(t *testing.T, p *check.Program, fact string, a spread.Answer, want map[string][2]string) {
	t.Helper()
	for _, r := range a.Ranges {
		w, asked := want[r.Name]
		if !asked {
			continue
		}
		delete(want, r.Name)
		least, most := eval.Show(p, check.Num(r.Least.Value), r.Type), eval.Show(p, check.Num(r.Most.Value), r.Type)
		if least != w[0] || most != w[1] || !r.Least.Proved || !r.Most.Proved {
			t.Errorf("%s: %s may be %s to %s, not %s to %s [%s]", fact, r.Name, least, most, w[0], w[1], foamStandard)
		}
	}
	if len(want) > 0 {
		t.Errorf("%s: no range of %v", fact, want)
	}
}

// The figures above are those of the shared checks.
func TestFoamFiguresAreThoseOfTheChecks(t *testing.T) {
	folder := os.Getenv("SQUAB_CHECKS")
	data, err := os.ReadFile(filepath.Join(folder, "trade-facts.csv"))
	if folder == "" || err != nil {
		t.Skip("the trade facts are not here: set SQUAB_CHECKS to their folder")
	}
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	printed := map[string]string{}
	for _, row := range rows {
		printed[row[0]] = row[2]
		if regexp.MustCompile(`^foam-0[1-4]$`).MatchString(row[0]) && !strings.HasPrefix(row[5], foamStandard) {
			t.Errorf("%s is from %s", row[0], row[5])
		}
	}
	for _, s := range sheets {
		if printed[s.fact] != s.printed {
			t.Errorf("%s is printed as %q, and is held to %q", s.fact, printed[s.fact], s.printed)
		}
	}
}

// The trade library states the slab's tolerances with their source beside them.
func TestTheLibrarysFoamNamesTheStandard(t *testing.T) {
	files, problems := &diag.Files{}, diag.List{}
	for _, src := range stdlib.AddTo(files) {
		for _, d := range lang.Parse(src, lang.Limits{}, &problems).Decls {
			k, ok := d.(*lang.KindDecl)
			if !ok || k.Name.Text != "foam" {
				continue
			}
			for _, f := range k.Fields {
				if f.Tolerance != nil && (f.Why.Source == nil || !strings.HasPrefix(f.Why.Source.Value, "Joint Industry Foam Standards")) {
					t.Errorf("the tolerance of foam's %s names no source", f.Name.Text)
				}
			}
		}
	}
}
