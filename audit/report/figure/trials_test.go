package figure

import (
	"math"
	"os"
	"strings"
	"testing"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/geometry"
)

// Every pair of contacts on the sheet is one sign among the middles and one among
// the half arcs: those that count, those that were struck, and the closing pair,
// which is open.
func TestEveryContactIsDrawn(t *testing.T) {
	for name, r := range reporttest.GoodAudits(t, os.DirFS("../../../testdata")) {
		good, struck, closing := 0, 0, 0
		for _, found := range r.TDC.Setups {
			setup := r.Sheet.Setups[found.Index]
			trials := setup.Trials
			for i := range setup.Drops {
				trials = append(trials[:len(trials):len(trials)], setup.Drops[i].Trials()...)
			}
			for _, x := range trials {
				if x.Usable() {
					good++
				} else {
					struck++
				}
			}
			if c := setup.Closing; c != nil && c.Usable() {
				closing++
			} else if c != nil {
				struck++
			}
		}
		discs, triangles, crosses, open := 0, 0, 0, 0
		for _, s := range Trials(r) {
			for _, item := range s.Items {
				switch x := item.(type) {
				case drawing.Circle:
					if x.Fill == drawing.White {
						open++
					} else {
						discs++
					}
				case drawing.Polygon:
					if len(x.Points) == 3 && !x.Open && x.Fill == drawing.Deep {
						triangles++
					}
				case drawing.Line:
					if x.Stroke == drawing.Thin && x.From.X != x.To.X && x.From.Y > x.To.Y {
						crosses++
					}
				}
			}
		}
		if discs != good || triangles != good || crosses != 2*struck || open != closing {
			t.Errorf("%s: %d discs, %d triangles, %d crosses, %d open for %d, %d struck, %d closing", name, discs, triangles, crosses, open, good, struck, closing)
		}
	}
}

// The grey of the contacts is half a step of the readout high: the demonstration's
// step is 0.5 degrees, and the middle of two readings moves by half of it.
func TestContactsShowTheStep(t *testing.T) {
	r := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["demo"]
	s := Trials(r)[0]
	var ticks []geometry.Length // heights of +0.2 and -0.2 of the first plot
	var grey, middle geometry.Length
	for _, item := range s.Items {
		switch x := item.(type) {
		case drawing.Text:
			if (x.Text == "+0.2" || x.Text == "-0.2") && len(ticks) < 2 {
				ticks = append(ticks, x.At.Y)
			}
		case drawing.Polygon:
			if x.Fill == drawing.Pale && grey == 0 {
				grey, middle = x.Points[2].Y-x.Points[0].Y, (x.Points[2].Y+x.Points[0].Y)/2
			}
		}
	}
	if len(ticks) < 2 {
		t.Fatal("no ticks at 0.2")
	}
	if got := 0.4 * float64(grey) / math.Abs(float64(ticks[1]-ticks[0])); got < 0.2499 || got > 0.2501 {
		t.Errorf("the grey is %.4f degrees high, want 0.25", got)
	}
	if zero := (ticks[0] + ticks[1]) / 2; math.Abs(float64(zero-0.9-middle)) > 1e-6 { // texts stand 0.9 below their ticks
		t.Errorf("the grey is %.3f mm off zero", float64(zero-0.9-middle))
	}
	numbers := 0 // every pair of the three setups has its number, and the closing pairs their word
	for _, item := range s.Items {
		if x, ok := item.(drawing.Text); ok && (len(x.Text) == 1 || x.Text == "closing") {
			numbers++
		}
	}
	if numbers != 5+4+5+3 {
		t.Errorf("%d pairs are numbered or named, want 17", numbers)
	}
	for _, want := range []string{"closing +0.250", "TDC reads 7.25"} {
		if !strings.Contains(s.Description, want) {
			t.Errorf("the text alternative lacks %q: %s", want, s.Description)
		}
	}
}
