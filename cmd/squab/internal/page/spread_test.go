package page

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestSpread(t *testing.T) {
	tests := []struct {
		name       string
		want       []float64
		gap, least float64
		placed     []float64
	}{
		{"far apart stay where they are", []float64{0, 50, 120}, 13, 0, []float64{0, 50, 120}},
		{"two on one place part evenly", []float64{100, 100}, 10, 0, []float64{95, 105}},
		{"none goes below the least", []float64{0, 0, 0}, 10, 0, []float64{0, 10, 20}},
		{"a run pushes only its neighbours", []float64{0, 60, 61, 62, 200}, 10, 0, []float64{0, 51, 61, 71, 200}},
		{"none", nil, 10, 0, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := spread(tt.want, tt.gap, tt.least)
			if len(got) == 0 {
				got = nil
			}
			if diff := cmp.Diff(tt.placed, got); diff != "" {
				t.Errorf("placed (-want +got):\n%s", diff)
			}
		})
	}
}

func TestSpreadNeverCollides(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		want := make([]float64, 1+r.IntN(30))
		at := 0.0
		for i := range want {
			at += r.Float64() * 25
			want[i] = at
		}
		placed := spread(want, sizeGap, 0)
		for i, p := range placed {
			if p < -1e-9 || i > 0 && p-placed[i-1] < sizeGap-1e-9 {
				t.Fatalf("spread(%v) = %v: place %d", want, placed, i)
			}
		}
	}
}

func TestThin(t *testing.T) {
	tests := []struct {
		n, most int
		want    []int
	}{
		{0, 5, nil}, {1, 5, []int{0}}, {5, 5, []int{0, 1, 2, 3, 4}}, {6, 5, []int{0, 2, 4, 5}}, {9, 5, []int{0, 2, 4, 6, 8}}, {10, 5, []int{0, 3, 6, 9}},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, thin(tt.n, tt.most)); diff != "" {
			t.Errorf("thin(%d, %d) (-want +got):\n%s", tt.n, tt.most, diff)
		}
	}
}

func TestPx(t *testing.T) {
	for want, x := range map[string]float64{"0": -0.001, "1.5": 1.5, "10": 10, "-3.33": -10.0 / 3, "0.13": 0.125001} {
		if got := px(x); got != want {
			t.Errorf("px(%v) = %s, want %s", x, got, want)
		}
	}
}
