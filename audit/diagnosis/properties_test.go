package diagnosis

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"markaudit/geometry"
)

// anyEvidence draws what a bench might bring: up to three mountings, lines on two
// parts, some not read, closing pairs, a distance, an odd reading.
func anyEvidence(t *rapid.T) Evidence {
	p, k := rapid.IntRange(1, 6).Draw(t, "lines"), rapid.IntRange(1, 3).Draw(t, "setups")
	setups := make([][]float64, k)
	for i := range setups {
		setups[i] = make([]float64, p)
	}
	for j := range p {
		off := rapid.SampledFrom([]float64{0, 0, .2, -.4, 1.7, 3, -10, 20, 179.9}).Draw(t, "off")
		for i := range setups {
			setups[i][j] = wrap(off + rapid.Float64Range(-.1, .1).Draw(t, "scatter"))
		}
	}
	e := bench(setups...)
	nominals := rapid.Permutation([]float64{0, -10, 10, 120, 240, -4}).Draw(t, "nominals")
	for j := range p {
		e.Lines[j].At = geometry.Angle(nominals[j])
		e.Lines[j].On = rapid.SampledFrom([]string{"", "ring", "hub"}).Draw(t, "on")
		if k > 1 && rapid.IntRange(0, 5).Draw(t, "unread") == 0 {
			e.Offset[0][j] = geometry.Angle(math.NaN())
		}
	}
	e.QuarterTurn, e.BondedRing = rapid.Bool().Draw(t, "quarter turn"), rapid.Bool().Draw(t, "bonded")
	if rapid.Bool().Draw(t, "closed") {
		e.closing(rapid.Float64Range(-1, 1).Draw(t, "closing"), .08, 8)
	}
	if p > 1 && rapid.Bool().Draw(t, "dividers") {
		e.Diameter, e.DividersU = 160, 0.2
		e.Distances = []Distance{{From: 0, To: 1, Chord: 20, ChordSD: 0.2, Diameter: 160}}
	}
	e.prove()
	return e
}

func TestProperties(t *testing.T) {
	t.Run("the same evidence gives the same diagnosis, and stays as it was", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			e := anyEvidence(t)
			before := asJSON(t, e)
			d := asJSON(t, Explain(e, nil))
			if after := asJSON(t, e); after != before {
				t.Fatalf("the evidence became %s", after)
			}
			if again := asJSON(t, Explain(e, nil)); again != d {
				t.Fatalf("%s\nthen %s", d, again)
			}
		})
	})
	t.Run("through JSON and back", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			e := anyEvidence(t)
			e.Odd = &Odd{P: .02, Line: -1, Without: e.Offset}
			e.Creep = []Creep{{0, .3, .2}}
			e.Order = [][]int{nil}
			var back Evidence
			backAndForth(t, e, &back)
			if diff := cmp.Diff(e, back, equalNaN); diff != "" {
				t.Fatal(diff)
			}
			d := Explain(anyEvidence(t), nil)
			var same Diagnosis
			backAndForth(t, d, &same)
			if diff := cmp.Diff(d, same, equalNaN); diff != "" {
				t.Fatal(diff)
			}
		})
	})
	t.Run("the order of the lines does not matter", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			e := anyEvidence(t)
			order := rapid.Permutation(count(len(e.Lines))).Draw(t, "order")
			d, o := Explain(e, nil), Explain(reordered(e, order), nil)
			if d.Refuted != o.Refuted || d.Story != o.Story || d.Ring != o.Ring || math.Abs(d.Measured.Surprise-o.Measured.Surprise) > 1e-9 || math.Abs(d.Standing[0].Surprise-o.Standing[0].Surprise) > 1e-9 {
				t.Fatalf("%+v\nthen %+v", d, o)
			}
			for to, from := range order {
				a, b := d.Decisions[from], o.Decisions[to]
				if a.Verdict != b.Verdict || a.Scribe != b.Scribe || a.Held != b.Held || (a.Late-b.Late).Abs() > 1e-9 {
					t.Fatalf("line %d: %+v\nthen %+v", from, a, b)
				}
			}
		})
	})
	t.Run("whole turns do not matter", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			e := anyEvidence(t)
			d := Explain(e, nil)
			j := rapid.IntRange(0, len(e.Lines)-1).Draw(t, "line")
			e.Lines[j].At += 360
			e.Lines[j].At -= 360 * geometry.Angle(rapid.IntRange(0, 2).Draw(t, "turns"))
			for q := range e.Pairs {
				e.Pairs[q].Value += 360
			}
			o := Explain(e, nil)
			if d.Refuted != o.Refuted || math.Abs(d.Measured.Surprise-o.Measured.Surprise) > 1e-9 || len(d.Standing) != len(o.Standing) {
				t.Fatalf("%+v\nthen %+v", d, o)
			}
		})
	})
	t.Run("an order is right under all that stands", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			e := anyEvidence(t)
			d := Explain(e, nil)
			if d.Standing[0].Surprise > d.Measured.Surprise+1e-6 {
				t.Fatalf("best %g, as measured %g", d.Standing[0].Surprise, d.Measured.Surprise)
			}
			for _, c := range d.Decisions {
				if d.Refuted && (c.Scribe || c.Held || c.Verdict != Undecided) {
					t.Fatalf("refuted, and %+v", c)
				}
				if c.Scribe && (c.Held || len(c.Against) > 0) || c.Held && c.Ask.Kind == NoObservation && !e.BondedRing && !c.After {
					t.Fatalf("%+v", c)
				}
				if c.Line < 0 || !c.Scribe {
					continue
				}
				for _, s := range d.Standing {
					l := e.Lines[c.Line]
					if far := (s.Offset[c.Line] - d.Measured.Offset[c.Line]).Wrap().Abs(); far > max(l.tolerance()/2, l.U, leastSlack)+tiny {
						t.Fatalf("%v puts line %d elsewhere by %v", s.Code, c.Line, far)
					}
				}
			}
		})
	})
	t.Run("evidence that agrees refutes nothing", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			e := anyEvidence(t)
			before := Explain(e, nil)
			e.closing(0, .05, 8)
			e.Pairs = append(e.Pairs, Pair{Kind: OtherDepth, SD: .1, DOF: 8})
			after := Explain(e, nil)
			if math.Abs(after.Measured.Surprise-before.Measured.Surprise) > 1e-9 {
				t.Fatalf("as measured: %g, then %g", before.Measured.Surprise, after.Measured.Surprise)
			}
			if !before.Refuted && after.Refuted {
				t.Fatalf("refuted by what agrees: %+v", after)
			}
		})
	})
}

func asJSON(t *rapid.T, x any) string {
	out, err := json.Marshal(x)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func backAndForth(t *rapid.T, from, to any) {
	if err := json.Unmarshal([]byte(asJSON(t, from)), to); err != nil {
		t.Fatal(err)
	}
}

var equalNaN = cmp.FilterValues(func(x, y geometry.Angle) bool {
	return math.IsNaN(float64(x)) && math.IsNaN(float64(y))
}, cmp.Comparer(func(_, _ geometry.Angle) bool { return true }))

func count(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func reordered(e Evidence, order []int) Evidence {
	out := e
	out.Lines, out.Offset, out.Own, out.Distances = nil, nil, nil, slices.Clone(e.Distances)
	for _, from := range order {
		out.Lines = append(out.Lines, e.Lines[from])
	}
	for i := range e.Offset {
		var late, own []geometry.Angle
		for _, from := range order {
			late, own = append(late, e.Offset[i][from]), append(own, e.Own[i][from])
		}
		out.Offset, out.Own = append(out.Offset, late), append(out.Own, own)
	}
	for i := range out.Distances {
		d := &out.Distances[i]
		d.From, d.To = slices.Index(order, d.From), slices.Index(order, d.To)
	}
	return out
}

// Every enumeration has a word for each value, comes back from it, and refuses
// another.
func TestWordsOfEnumerations(t *testing.T) {
	words[Code](t, int(Unnamed))
	words[Verdict](t, int(Outside))
	words[Ring](t, int(RingSlipped))
	words[StoryKind](t, int(PartAlike))
	words[PairKind](t, int(OtherMethod))
	words[ItemKind](t, int(ItemCreep))
	words[ObservationKind](t, int(SecondSetup))
	// The stable keys that others rest on.
	for got, want := range map[string]string{
		AsMeasured.String(): "as_measured", ReadoutMovedAfter.String(): "readout_moved_after", Copied.String(): "copied",
		ClosingPair.String(): "closing_pair", OtherBankContacts.String(): "other_bank", SecondSetup.String(): "second_setup",
		Undecided.String(): "undecided", Within.String(): "within", Outside.String(): "outside",
		OtherMethod.String(): "other_method", RingMay.String(): "may", Code(99).String(): "unknown 99",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func words[T interface {
	~uint8
	String() string
	MarshalText() ([]byte, error)
}](t *testing.T, last int) {
	seen := map[string]bool{}
	for i := range last + 1 {
		text, err := json.Marshal(T(i))
		if err != nil || seen[string(text)] || string(text) != `"`+T(i).String()+`"` {
			t.Errorf("%T %d: %s, %v", T(i), i, text, err)
		}
		seen[string(text)] = true
		var back T
		if err := json.Unmarshal(text, &back); err != nil || back != T(i) {
			t.Errorf("%T: %s came back as %v, %v", back, text, back, err)
		}
	}
	var none T
	if err := json.Unmarshal([]byte(`"nonsense"`), &none); err == nil {
		t.Errorf("%T: nonsense was read as %v", none, none)
	}
	if got := T(last + 1).String(); !strings.HasPrefix(got, "unknown") {
		t.Errorf("%T: beyond the last one stands %q", none, got)
	}
}
