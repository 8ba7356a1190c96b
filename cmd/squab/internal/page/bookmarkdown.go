package page

import (
	"fmt"
	"io"
	"strings"

	"squab/cmd/squab/internal/print"
	"squab/eval/check"
)

// WriteBookMarkdown writes a house's rule book as Markdown: rules in words and tables, reasons, sources, dates, and amendments above what they replace.
func WriteBookMarkdown(w io.Writer, program *check.Program, rules string) error {
	page := bookOf(program, rules)
	var b strings.Builder
	fmt.Fprintf(&b, "# Rule book: %s\n\nRules `%s`\n", markdownText(page.Shop), rules)
	if len(page.Changed) > 0 {
		b.WriteString("\n## What this house amends\n")
		markdownRules(&b, page.Changed)
	}
	for _, c := range page.Chapters {
		fmt.Fprintf(&b, "\n## %s (%s)\n", markdownText(c.Name), c.Layer)
		markdownRules(&b, c.Rules)
	}
	markdownPrice(&b, page.Price)
	if len(page.Cautions) > 0 {
		b.WriteString("\n## Cautions\n\n")
	}
	for _, c := range page.Cautions {
		fmt.Fprintf(&b, "- **%s**: %s%s\n", markdownText(c.Name), markdownText(c.Text), markdownReason(c.Because, c.Source))
	}
	b.WriteString("\nSquab does not say that a piece complies with any rule or standard: local codes and licensed practice come first.\n")
	_, err := io.WriteString(w, print.Harmless(b.String()))
	return err
}

func markdownRules(b *strings.Builder, rules []bookRule) {
	for _, r := range rules {
		fmt.Fprintf(b, "\n### %s (`%s`), %s\n\n", markdownText(r.Words), r.Name, markdownText(r.Kind))
		for _, p := range r.Params {
			kind := strings.TrimSpace(p.Kind + " " + p.Range)
			fmt.Fprintf(b, "- *%s*, %s%s\n", markdownText(p.Name), markdownText(kind), markdownDefault(p.Default))
		}
		if r.Because != "" || r.Source != "" {
			fmt.Fprintf(b, "\n%s\n", strings.TrimSpace(markdownReason(r.Because, r.Source)))
		}
		if len(r.Bodies) == 0 {
			b.WriteString("\nLeft for the house to give.\n")
		}
		for _, body := range r.Bodies {
			markdownBody(b, body)
		}
	}
}

func markdownDefault(formula string) string {
	if formula == "" {
		return ""
	}
	return "; usual " + code(formula)
}

// markdownBody writes one layer of a rule.
func markdownBody(b *strings.Builder, body bookBody) {
	who := "**" + markdownText(body.Who) + "**"
	if body.When != "" {
		who += ", " + markdownText(body.When)
	}
	if body.Replaces != "" {
		who += ", over what the " + markdownText(body.Replaces) + " says below"
	}
	fmt.Fprintf(b, "\n%s (%s)\n\n", who, markdownText(body.Place))
	for _, l := range body.Locals {
		fmt.Fprintf(b, "- %s = %s%s\n", markdownText(l.Name), formulaText(l.Value), markdownReason(l.Because, l.Source))
	}
	if len(body.Heading) > 0 {
		markdownTable(b, body)
		return
	}
	for _, k := range body.Cases {
		when := ""
		switch {
		case len(k.When) > 0:
			when = " when " + formulaText(k.When)
		case k.Otherwise:
			when = " otherwise"
		}
		fmt.Fprintf(b, "- %s%s%s\n", formulaText(k.Value), when, markdownReason(k.Because, k.Source))
	}
}

func markdownTable(b *strings.Builder, body bookBody) {
	if body.Lies != "" {
		fmt.Fprintf(b, "%s\n\n", markdownText(body.Lies))
	}
	b.WriteString("|")
	for _, h := range body.Heading {
		b.WriteString(" " + markdownText(h) + " |")
	}
	b.WriteString(" gives | because |\n|" + strings.Repeat("---|", len(body.Heading)+2) + "\n")
	for _, k := range body.Cases {
		b.WriteString("|")
		for _, test := range k.Tests {
			b.WriteString(" " + markdownText(test) + " |")
		}
		fmt.Fprintf(b, " %s | %s |\n", formulaText(k.Value), strings.TrimSpace(markdownReason(k.Because, k.Source)))
	}
}

func markdownPrice(b *strings.Builder, lines []bookLine) {
	if len(lines) == 0 {
		return
	}
	b.WriteString("\n## The price\n\n")
	for _, l := range lines {
		name, when := markdownText(l.Name), ""
		if l.IsCharge {
			name = "charge " + name
		}
		if len(l.When) > 0 {
			when = " when " + formulaText(l.When)
		}
		fmt.Fprintf(b, "- %s = %s%s%s\n", name, formulaText(l.Value), when, markdownReason(l.Because, l.Source))
	}
}

func markdownReason(because, source string) string {
	s := ""
	if because != "" {
		s += " because " + markdownText(because)
	}
	if source != "" {
		s += " (source: " + markdownText(source) + ")"
	}
	return s
}

// formulaText joins the stretches of a formula.
func formulaText(parts []linked) string {
	s := ""
	for _, p := range parts {
		s += p.Text
	}
	return code(s)
}

// code sets a formula off; a backquote in it cannot end it.
func code(s string) string {
	return "`" + strings.ReplaceAll(strings.ReplaceAll(oneLine(s), "`", "'"), "|", `\|`) + "`"
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// markdownText keeps what a house wrote from being read as Markdown or HTML.
func markdownText(s string) string {
	return strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "|", `\|`, "<", "&lt;", ">", "&gt;", "&", "&amp;", "[", `\[`, "#", `\#`).Replace(oneLine(s))
}
