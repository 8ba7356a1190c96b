package page

import (
	"encoding/csv"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
)

// hostileNames try to be something other than text on a page, in a style, in an attribute, in a link or in a spreadsheet.
var hostileNames = []string{
	"plain", `<script>alert(1)</script>`, `</title><img src=x onerror=alert(1)>`, `"><svg onload=alert(1)>`, `' onmouseover='alert(1)`, `javascript:alert(1)`,
	`</style><style>*{display:none}`, `--><!--`, `]]>`, `&lt;b&gt; &amp;amp; &#60;b&#62;`, `{{.Rules}}`, `url(http://example.org/x)`, "=1+1", "+cmd|'/C calc'!A0", "-2", "@SUM(A1)",
	"\t=1", "a\nb", "a\u2028b", "\u202egnirts", "é ß 漢字 🪑", strings.Repeat("W", 300), strings.Repeat("a b ", 80), `\`, "`", "%s%n", "x\x00y", "\x01\x1b[2J\ufffe", "\ufffe",
}

// document is a page read back: the text of it, and its elements in order with the names of their attributes. Links and other values of attributes that
// could do something are kept apart.
type document struct {
	elements []string
	text     strings.Builder
	links    []string
}

// readTokens reads a page back as a lenient reader of XML does, which html/template's output is one for.
func readTokens(t testing.TB, page string, take func(xml.Token)) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatalf("the page does not read back: %v", err)
		}
		take(token)
	}
}

func readBack(t testing.TB, page string) *document {
	t.Helper()
	doc, quiet := &document{}, 0
	readTokens(t, page, func(token xml.Token) {
		switch token := token.(type) {
		case xml.StartElement:
			doc.begin(token)
			if token.Name.Local == "style" {
				quiet++
			}
		case xml.EndElement:
			if token.Name.Local == "style" {
				quiet--
			}
		case xml.CharData:
			if quiet == 0 {
				doc.text.Write(token)
			}
		}
	})
	return doc
}

func (d *document) begin(e xml.StartElement) {
	name := e.Name.Local
	for _, a := range e.Attr {
		name += " " + a.Name.Local
		if a.Name.Local == "href" || a.Name.Local == "src" {
			d.links = append(d.links, a.Value)
		}
	}
	d.elements = append(d.elements, name)
}

// FuzzNames gives the order, the shop, the materials and the reasons hostile names: every page keeps its elements, its attributes and its links, and says
// the name as it is; the CSV keeps its rows, and none of its fields is a formula.
func FuzzNames(f *testing.F) {
	for _, name := range hostileNames {
		f.Add(name)
	}
	results := workroom(f)[1:2]
	plain := map[string]*document{}
	for kind, page := range pagesNamed(f, results, "xplain") {
		plain[kind] = readBack(f, page)
	}
	f.Fuzz(func(t *testing.T, name string) {
		if !utf8.ValidString(name) {
			t.Skip("no file that is not UTF-8 is read")
		}
		name = "x" + name // an empty name is left out, which changes the page
		for kind, page := range pagesNamed(t, results, name) {
			sameButForTheName(t, kind, plain[kind], readBack(t, page), name)
		}
		nothingWorkedOut(t, results, name)
	})
}

func sameButForTheName(t *testing.T, kind string, plain, got *document, name string) {
	t.Helper()
	if diff := cmp.Diff(plain.elements, got.elements); diff != "" {
		t.Fatalf("%s: the name changed its elements (-plain +got):\n%s", kind, diff)
	}
	for _, link := range got.links {
		if !strings.HasPrefix(link, "#") && link != "data:," {
			t.Errorf("%s: a link leads to %q", kind, link)
		}
	}
	if printable(name) && !strings.Contains(got.text.String(), name) {
		t.Errorf("%s does not say %q as it is", kind, name)
	}
}

// printable tells names that a reader gives back as they are: https://www.w3.org/TR/xml/#charsets.
func printable(s string) bool {
	return strings.IndexFunc(s, unicode.IsControl) < 0 && !strings.ContainsAny(s, "\ufffe\uffff")
}

// rename gives everything that has a name of its own another.
func rename(results []*eval.Result, name string) {
	for _, r := range results {
		program := r.Sheet.Plan.Program()
		program.Title, r.Order.ID, r.Order.Title, r.Recipe.Title = name, name, name, name
		for _, m := range program.Materials {
			m.Title = name
		}
		for _, rule := range program.Rules {
			for _, body := range rule.Bodies() {
				for _, c := range body.Cases {
					c.Why.Because, c.Why.Source = name, name
				}
			}
		}
		for i := range r.Cautions {
			r.Cautions[i].Text = name
		}
	}
}

func pagesNamed(t testing.TB, results []*eval.Result, name string) map[string]string {
	t.Helper()
	rename(results, name)
	s := Sheaf{Results: results, Rules: "feed"}
	sheet, _ := SheetNamed("a4")
	return map[string]string{
		"tickets":   made(t, func(w io.Writer) error { return WriteTickets(w, s) }),
		"quotation": made(t, func(w io.Writer) error { return WriteQuotations(w, s) }),
		"buying":    made(t, func(w io.Writer) error { return WriteBuying(w, s) }),
		"labels":    made(t, func(w io.Writer) error { return WriteLabels(w, s, sheet) }),
		"template":  made(t, func(w io.Writer) error { return WriteTemplate(w, s, TemplateOptions{Piece: "strap", Sheet: sheet}) }),
		"strips": made(t, func(w io.Writer) error {
			return WriteTemplate(w, s, TemplateOptions{Piece: "top", Strip: true, Sheet: sheet})
		}),
		"svg":  made(t, func(w io.Writer) error { return WriteTemplate(w, s, TemplateOptions{Piece: "top", SVG: true}) }),
		"book": made(t, func(w io.Writer) error { return WriteBook(w, results[0].Sheet.Plan.Program(), "feed") }),
	}
}

func nothingWorkedOut(t *testing.T, results []*eval.Result, name string) {
	t.Helper()
	text := made(t, func(w io.Writer) error { return WriteCSV(w, Sheaf{Results: results}) })
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatalf("the CSV does not read back: %v", err)
	}
	for _, row := range rows {
		for _, field := range row {
			if field != "" && strings.ContainsRune("=+-@\t\r\n", rune(field[0])) {
				t.Errorf("a spreadsheet would work out %q of a name %q", field, name)
			}
		}
	}
}
