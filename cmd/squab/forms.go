package main

import (
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/lang/diag"
)

// form is how a run of orders is written out.
type form struct {
	begin   string
	between string                                                 // before every order but the first
	order   func(w *print.Writer, b []byte, r *eval.Result) []byte // appends an order
	refused func(job, []diag.Diagnostic) string                    // nil where standard output says nothing of it
	cutList bool                                                   // shows nothing but the pieces
	apart   bool                                                   // the refused are written together at the end
	end     func(refused []string, together print.Joint, t tally) string
}

func (c *command) form(name string, book *load.Book) form {
	switch name {
	case "json":
		return jsonForm(book)
	case "jsonl":
		return form{
			order:   func(w *print.Writer, b []byte, r *eval.Result) []byte { return append(w.JSON(b, r), '\n') },
			refused: func(j job, problems []diag.Diagnostic) string { return refusedLine(book, j, problems) + "\n" },
			end:     func([]string, print.Joint, tally) string { return "" },
		}
	case "csv":
		return form{
			begin:   print.CSVHead,
			cutList: true,
			order:   (*print.Writer).CSV,
			end:     func([]string, print.Joint, tally) string { return "" },
		}
	}
	return form{
		between: "\n" + strings.Repeat("─", 80) + "\n\n",
		order:   (*print.Writer).Text,
		end: func(_ []string, together print.Joint, t tally) string {
			return c.page.Together(book.Program, together) + t.closing()
		},
	}
}

func jsonForm(book *load.Book) form {
	return form{
		begin:   `{"schema":1,"rules":"` + book.Fingerprint + `","orders":[`,
		between: ",",
		order:   func(w *print.Writer, b []byte, r *eval.Result) []byte { return w.JSON(append(b, '\n'), r) },
		refused: func(j job, problems []diag.Diagnostic) string { return "\n" + refusedLine(book, j, problems) },
		apart:   true,
		end: func(refused []string, together print.Joint, _ tally) string {
			return "\n],\"refused\":[" + strings.Join(refused, ",") + "]," + string(print.JointJSON(book.Program, together)) + "}\n"
		},
	}
}

func refusedLine(book *load.Book, j job, problems []diag.Diagnostic) string {
	return string(print.Line(print.Refused{Order: j.id, Problems: print.ProblemList(book.Files, problems)}))
}
