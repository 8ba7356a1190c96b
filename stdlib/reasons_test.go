package stdlib

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"squab/eval/check"
	"squab/lang/diag"
)

// TestEveryRuleSaysWhy wants a reason on every rule of the library: on the rule, or on one of its cases, and on every row of a table.
func TestEveryRuleSaysWhy(t *testing.T) {
	b := open(t)
	for _, r := range b.program.Rules {
		if r.Layer != diag.Trade {
			continue
		}
		if r.Base == nil {
			if r.Why.Because == "" {
				t.Errorf("%s: %s is asked of the house without a reason", b.place(r.At), r.Name)
			}
			continue
		}
		reasons := 0
		for _, k := range r.Base.Cases {
			if k.Why.Because != "" {
				reasons++
			}
		}
		if reasons == 0 && r.Why.Because == "" || r.IsTable && reasons < len(r.Base.Cases) {
			t.Errorf("%s: %s does not say why", b.place(r.At), r.Name)
		}
	}
}

// standing says where a figure comes from: a source, or one of the phrases that own to having none.
var standing = regexp.MustCompile(`common practice, no source|from memory|the house (puts|gives|names)|low-confidence`)

// TestFiguresSayWhereTheyComeFrom wants a source, or an owning to none, of every rule and row of the library that is a bare figure.
func TestFiguresSayWhereTheyComeFrom(t *testing.T) {
	b := open(t)
	figures := 0
	for _, r := range b.program.Rules {
		if r.Base == nil || len(r.Params) > 0 && !r.IsTable {
			continue
		}
		for _, k := range r.Base.Cases {
			if _, bare := k.Value.(*check.Const); !bare || k.Value.Type().Base != check.Quantity {
				continue
			}
			figures++
			if k.Why.Source == "" && !standing.MatchString(k.Why.Because+r.Why.Because) {
				t.Errorf("%s: %s is a figure without a source, and does not own to it: %q", b.place(k.At), r.Name, k.Why.Because)
			}
		}
	}
	if figures < 40 {
		t.Errorf("only %d figures were looked at", figures)
	}
}

// TestMemoryIsNoCitation wants that nothing recalled is given as a source in the library.
func TestMemoryIsNoCitation(t *testing.T) {
	b := open(t)
	for _, r := range b.program.Rules {
		if r.Base == nil {
			continue
		}
		for _, k := range r.Base.Cases {
			if strings.Contains(k.Why.Source, "no source to hand") {
				t.Errorf("%s: %s cites memory as a source", b.place(k.At), r.Name)
			}
		}
	}
}

// reserved are figures that serve as check values only.
var reserved = regexp.MustCompile(`\b4[ -]5/8\b|_inset\s*=\s*4 in`)

func TestReservedFiguresStayOutOfTheDemo(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(heronQuay, "*"))
	if err != nil || len(names) == 0 {
		t.Fatal("no demo to look through")
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if found := reserved.FindString(string(text)); found != "" {
			t.Errorf("%s holds the reserved figure %q", name, found)
		}
	}
}

// TestCautionsDefer wants that each hazard of the work has its caution, that each is short, and that no caution claims that a piece complies.
func TestCautionsDefer(t *testing.T) {
	b := open(t)
	texts := map[string]string{}
	for _, c := range b.program.Cautions {
		k, ok := c.Text.(*check.Const)
		if !ok {
			t.Fatalf("%s is not plain text", c.Name)
		}
		text := k.Value.Text()
		texts[c.Name] = text
		if len(text) > 320 {
			t.Errorf("%s is %d letters long: a bench reads short cautions", c.Name, len(text))
		}
		if strings.Contains(text, "complies") && !strings.Contains(text, "does not say that it complies") {
			t.Errorf("%s claims that a piece complies: %s", c.Name, text)
		}
	}
	for _, hazard := range []string{"blades", "saws", "staplers", "eyes_and_ears", "adhesive_vapour", "fire", "dust", "compressed_air", "lifting", "falling_lid", "child_in_chest", "cords", "small_parts", "flammability"} {
		if texts[hazard] == "" {
			t.Errorf("no caution for %s", hazard)
		}
	}
	for _, name := range []string{"falling_lid", "child_in_chest", "cords", "flammability"} {
		if !strings.Contains(texts[name], "ocal ") && !strings.Contains(texts[name], "standard") {
			t.Errorf("%s does not defer to local codes: %s", name, texts[name])
		}
	}
}
