package quantity

import "testing"

func TestZeroValueIsZero(t *testing.T) {
	if got := (Number{}).Add(Int(3)).String(); got != "3" {
		t.Errorf("0 + 3 = %s", got)
	}
}
