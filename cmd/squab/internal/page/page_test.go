package page

import (
	"encoding/xml"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"squab/cmd/squab/internal/print"
)

// everyPage makes a page of each kind from the fixture's first two orders.
func everyPage(t testing.TB) map[string]string {
	t.Helper()
	s := Sheaf{Results: workroom(t)[:2], Rules: "feed"}
	sheet, _ := SheetNamed("letter")
	program := s.Results[0].Sheet.Plan.Program()
	pages := map[string]string{"book": bookPageOf(t, program), "comparison": comparisonOf(t, sampleComparison(t)), "comparison of nothing": comparisonOf(t, print.Compared{})}
	for name, write := range map[string]func(io.Writer) error{
		"ticket":    func(w io.Writer) error { return WriteTickets(w, Sheaf{Results: s.Results[:1]}) },
		"tickets":   func(w io.Writer) error { return WriteTickets(w, s) },
		"quotation": func(w io.Writer) error { return WriteQuotations(w, s) },
		"buying":    func(w io.Writer) error { return WriteBuying(w, s) },
		"labels":    func(w io.Writer) error { return WriteLabels(w, s, sheet) },
		"template":  func(w io.Writer) error { return WriteTemplate(w, s, TemplateOptions{Piece: "skin", Sheet: sheet}) },
		"strips": func(w io.Writer) error {
			return WriteTemplate(w, s, TemplateOptions{Piece: "skin", Strip: true, Sheet: sheet})
		},
		"bench": func(w io.Writer) error {
			return WriteBench(w, BenchPage{Order: "7", Fields: []BenchField{{Name: "wide", Label: "wide"}}})
		},
	} {
		pages[name] = made(t, write)
	}
	return pages
}

// What a page says of itself to who does not see it: its language and title, headings that leave out no level, what each heading of a table is of, and a
// name for every drawing and every field.
func TestEveryPageReadsAloud(t *testing.T) {
	for name, page := range everyPage(t) {
		level, titled, labelled := 0, false, map[string]bool{}
		for _, m := range labelFor.FindAllStringSubmatch(page, -1) {
			labelled[m[1]] = true
		}
		readTokens(t, page, func(token xml.Token) {
			e, is := token.(xml.StartElement)
			if !is {
				return
			}
			has := map[string]string{}
			for _, a := range e.Attr {
				has[a.Name.Local] = a.Value
			}
			switch tag := e.Name.Local; tag {
			case "html":
				if has["lang"] != "en" {
					t.Errorf("%s does not say its language", name)
				}
			case "title":
				titled = true
			case "h1", "h2", "h3":
				now := int(tag[1] - '0')
				if now > level+1 && name != "bench" { // the bench's first heading comes with its ticket
					t.Errorf("%s: a heading of level %d after one of level %d", name, now, level)
				}
				level = now
			case "th":
				if has["scope"] != "col" && has["scope"] != "row" {
					t.Errorf("%s: a heading of a table is of neither a row nor a column", name)
				}
			case "svg":
				if has["aria-label"] == "" && has["aria-hidden"] == "" {
					t.Errorf("%s: a drawing has no name", name)
				}
			case "input", "select":
				if has["aria-label"] == "" && !labelled[has["id"]] {
					t.Errorf("%s: a field has no label: %v", name, has)
				}
			}
		})
		if !titled {
			t.Errorf("%s has no title", name)
		}
	}
}

var labelFor = regexp.MustCompile(`<label for="([^"]+)"`)

var colour = regexp.MustCompile(`--(\w+): #(\w{6});`)

// Whatever is written stands out from what it is written on by 4.5 to 1 at least, by the relative luminance of https://www.w3.org/TR/WCAG22/ (1.4.3). The
// pages keep these colours whatever a reader's machine prefers.
func TestColoursStandOut(t *testing.T) {
	sheet, err := style("page.css")
	if err != nil {
		t.Fatal(err)
	}
	light := map[string]float64{"print": 1} // white paper
	for _, m := range colour.FindAllStringSubmatch(string(sheet), -1) {
		light[m[1]] = luminance(t, m[2])
	}
	for _, ink := range []string{"ink", "soft", "mark"} {
		for _, paper := range []string{"paper", "card", "tint", "print"} {
			if light[ink] == 0 || light[paper] == 0 {
				t.Fatalf("the style does not say what %s or %s is", ink, paper)
			}
			if ratio := (light[paper] + 0.05) / (light[ink] + 0.05); ratio < 4.5 {
				t.Errorf("%s on %s stands out by %.2f to 1", ink, paper, ratio)
			}
		}
	}
	if text := string(sheet); !strings.Contains(text, "color-scheme: light;") || strings.Contains(text, "prefers-color-scheme") {
		t.Error("there is another scheme of colours, which this test does not try")
	}
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
