package eval

import (
	"fmt"
	"slices"

	"squab/eval/check"
	"squab/lang/diag"
)

// Fault says why a value could not be worked out.
type Fault struct {
	Code    string
	Message string
	At      diag.Span
	Help    string
	Related []diag.Related
}

func (f *Fault) Error() string { return f.Message }

// Diagnostic gives the fault as a problem of an order.
func (f *Fault) Diagnostic() diag.Diagnostic {
	return diag.Diagnostic{Code: f.Code, Message: f.Message, At: f.At, Help: f.Help, Related: f.Related}
}

func newFault(code string, at diag.Span, format string, args ...any) *Fault {
	return &Fault{Code: code, At: at, Message: fmt.Sprintf(format, args...)}
}

func (f *Fault) fix(help string) *Fault {
	f.Help = help
	return f
}

func (f *Fault) note(at diag.Span, note string) *Fault {
	f.Related = append(f.Related, diag.Related{At: at, Note: note})
	return f
}

// within gives the fault as it is met on the way to something else.
func (f *Fault) within(at diag.Span, note string) *Fault {
	outer := *f
	outer.Related = slices.Clone(f.Related)
	return outer.note(at, note)
}

// poison is a value that could not be worked out; whoever reads it faults alike.
func poison(f *Fault) check.Value { return check.Value{Obj: &check.Object{Fault: f}} }

// FaultOf gives the fault that a value carries, or nil.
func FaultOf(v check.Value) *Fault {
	if v.Obj == nil || v.Obj.Fault == nil {
		return nil
	}
	f, ok := v.Obj.Fault.(*Fault)
	if !ok {
		return &Fault{Code: "fault", Message: v.Obj.Fault.Error()}
	}
	return f
}
