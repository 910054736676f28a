package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// metal is a part as it truly is, with the crank at the reference cylinder's TDC:
// where one sees each line, in degrees clockwise as one looks at the marks. It is
// worked out here by turning the part until a line meets what it is read against,
// and knows nothing of how the audit puts it.
type metal struct {
	rig  *rig
	way  float64 // +1: the part runs clockwise
	seen map[string]float64
}

func newMetal(r *rig) metal {
	m := metal{rig: r, way: 1, seen: map[string]float64{}}
	if r.Engine.Turns == geometry.Anticlockwise {
		m.way = -1
	}
	slow := 1.0
	if r.Part.HalfSpeed {
		slow = 2
	}
	for _, l := range r.Lines {
		turned := m.way * float64(r.ComesUp(l)) / slow // clockwise, until the line comes up
		if r.Part.MarksOn == sheet.OnPart {
			m.seen[l.Name] = 90 - turned // turned so far it stands at the pointer, at 90
		} else {
			m.seen[l.Name] = 90 + turned // so far does the turning line go, from 90
		}
	}
	return m
}

// clockwise is the shorter way from one line to another, clockwise above zero.
func (m metal) clockwise(from, to string) float64 { return nearestTurn(m.seen[to]-m.seen[from], 0) }

// apart is the way that is hardest to misjudge by eye between two lines of one
// part: as near as any to a quarter turn.
func (m metal) apart() float64 {
	best := 0.0
	for i, a := range m.rig.Lines {
		for _, b := range m.rig.Lines[:i] {
			if gap := math.Abs(m.clockwise(a.Name, b.Name)); a.On == b.On && math.Abs(gap-90) < math.Abs(best-90) {
				best = gap
			}
		}
	}
	return best
}

// checked is what somebody finds who does as the check before scribing says. Told
// is where the sheet has the lines.
func (m metal) checked(c advise.EyeCheck, told sheet.MarksOn) bool {
	way := map[bool]geometry.Rotation{true: geometry.Clockwise, false: geometry.Anticlockwise}
	if c.From != "" {
		return way[m.clockwise(c.From, c.To) > 0] == c.Rotation
	}
	// Turned the way it runs: what moves, and which way.
	return told == m.rig.Part.MarksOn && way[m.way > 0] == c.Rotation
}

// anyMetal is a part with one to six lines on one or two parts, some of them far
// off and so out of their order, of one cylinder or two.
func anyMetal(rng *rand.Rand, lines int) *rig {
	r := newRig(rng)
	r.Part.HalfSpeed = rng.IntN(3) == 0
	turn := 360.0
	if r.Part.HalfSpeed {
		turn = 720
	}
	if rng.IntN(2) == 0 {
		r.Engine.Turns = geometry.Anticlockwise
	}
	if rng.IntN(2) == 0 {
		r.Part.MarksOn = sheet.OnEngine
	}
	if rng.IntN(2) == 0 {
		r.Engine.Cylinders = []simulate.Cylinder{{Name: "1"}, {Name: "5", Declared: 90, TDC: geometry.Angle(88 + 4*rng.Float64())}}
		r.first().Cylinder = "1"
	}
	for i := range lines {
		at := geometry.Angle(math.Round(turn*(rng.Float64()-0.5)*10) / 10)
		offset := geometry.Angle(rng.NormFloat64())
		if rng.IntN(3) == 0 {
			offset *= 25
		}
		l := r.line(fmt.Sprint("line ", i), at, offset)
		if rng.IntN(4) == 0 {
			l.On = "hub"
		}
		if len(r.Engine.Cylinders) > 0 && rng.IntN(2) == 0 {
			l.Cylinder = "5"
		}
	}
	return r
}

// The check before scribing is true of the metal where the sheet is right. Where
// the running direction, what carries the lines, or the side to which the readout
// counts is declared wrong it is not; only the way in which a line moves, where no
// two lines tell, does not show the side.
func TestTheCheckBeforeScribing(t *testing.T) {
	t.Parallel()
	rng := testkit.Rand(t, 801)
	two, alone, wrongSides := 0, 0, 0
	for i := range 300 {
		r := anyMetal(rng, 1+i%6)
		m, s := newMetal(r), r.sheet()
		for _, wrong := range []simulate.Mistake{"", simulate.TurnsWrong, simulate.MarksOnWrong, simulate.CountsAndLabelsWrong} {
			declared, _ := wrong.Made(s, 0, 0, 0)
			result, err := audit.Run(declared)
			if wrong == simulate.CountsAndLabelsWrong && err != nil {
				continue // the lines contradict it already
			}
			if err != nil {
				t.Fatalf("stand %d, wrong: %q: %v", i, wrong, err)
			}
			check := result.Advice.Check
			if (check.From == "") == (check.Passes == "") {
				t.Fatalf("stand %d, wrong: %q: %+v, want two lines or one that passes", i, wrong, check)
			}
			// A part at half speed does not always tell the side.
			if gap := m.apart(); wrong == "" && (check.From == "" && gap > 25 && gap < 155 && !r.Part.HalfSpeed || check.From != "" && (gap < 10 || gap > 170)) {
				t.Errorf("stand %d: two lines are %.1f apart on one part, and the check is %+v", i, gap, check)
			}
			side := wrong == simulate.CountsAndLabelsWrong
			switch {
			case check.From == "" && side:
				continue
			case check.From == "":
				alone++
			case side:
				wrongSides++
			default:
				two++
			}
			if got, want := m.checked(check, declared.Part.MarksOn), wrong == ""; got != want {
				t.Errorf("stand %d, %v, on %v, half speed %v, wrong: %q: the check %+v holds: %v, want %v", i, r.Engine.Turns, r.Part.MarksOn, r.Part.HalfSpeed, wrong, check, got, want)
			}
			if check.From != "" && onOf(r, check.From) != onOf(r, check.To) {
				t.Errorf("stand %d: %s and %s lie on two parts", i, check.From, check.To)
			}
			testkit.Near(t, "once round the rim", check.Round.Millimetres(), math.Pi*float64(r.Part.Diameter), 1e-9)
		}
	}
	if two < 500 || alone < 100 || wrongSides < 15 {
		t.Errorf("got %d checks by two lines, %d by one, %d of the side: too few to show anything", two, alone, wrongSides)
	}
}

func onOf(r *rig, name string) string {
	for _, l := range r.Lines {
		if l.Name == name {
			return l.On
		}
	}
	return ""
}

// A line under another's name shows in the check where it names one of the two and
// their exchange turns the way round.
func TestTheCheckFindsExchangedNames(t *testing.T) {
	t.Parallel()
	for _, turns := range []geometry.Rotation{geometry.Clockwise, geometry.Anticlockwise} {
		r := newRig(testkit.Rand(t, 802)).withLines(0.5, 0, 90)
		r.Engine.Turns = turns
		wrong, _ := simulate.NamesSwapped.Made(r.sheet(), 0, 1, 0)
		result, err := audit.Run(wrong)
		if err != nil {
			t.Fatal(err)
		}
		if check := result.Advice.Check; check.From == "" || newMetal(r).checked(check, sheet.OnPart) {
			t.Errorf("%v: names exchanged, and the check %+v holds", turns, check)
		}
	}
}

// The new line goes towards the line that the order names: carried out by hand on
// the metal it comes nearer to it, and no line of the part lies between. That holds
// also where the running direction or what carries the lines is declared wrong, for
// it hangs on neither.
func TestTowardsWhichLine(t *testing.T) {
	t.Parallel()
	rng := testkit.Rand(t, 803)
	named, none, past := 0, 0, 0
	stands := testkit.Cases(150)
	for i := range stands {
		r := anyMetal(rng, 1+i%6)
		m, s := newMetal(r), r.sheet()
		result, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, wrong := range []simulate.Mistake{simulate.TurnsWrong, simulate.MarksOnWrong} {
			declared, _ := wrong.Made(s, 0, 0, 0)
			other, err := audit.Run(declared)
			if err != nil {
				t.Fatal(err)
			}
			for j, given := range result.Advice.Forced {
				if got := other.Advice.Forced[j]; got.Towards != given.Towards {
					t.Errorf("stand %d, %s, wrong: %q: towards %q, want %q as without", i, r.Lines[j].Name, wrong, got.Towards, given.Towards)
				}
			}
		}
		for j, given := range result.Advice.Forced {
			if given.Along == advise.NoWay {
				continue
			}
			l := r.Lines[j]
			way := 1.0
			if given.Rotation == geometry.Anticlockwise {
				way = -1
			}
			// How far every other line of the part lies the way that the order goes,
			// true places; within four degrees of nothing and of half way round the
			// readings decide.
			nearest, sure := "", true
			least := 180.0
			for _, other := range r.Lines {
				if other.Name == l.Name || other.On != l.On {
					continue
				}
				ahead := math.Mod(way*(m.seen[other.Name]-m.seen[l.Name])+1080, 360)
				if ahead < 4 || math.Abs(ahead-180) < 4 || ahead > 356 || math.Abs(ahead-least) < 4 {
					sure = false
				}
				if ahead < 180 && ahead < least {
					least, nearest = ahead, other.Name
				}
			}
			if !sure {
				continue
			}
			if given.Towards != nearest {
				t.Errorf("stand %d, %s goes %v by %v: towards %q, want %q", i, l.Name, given.Rotation, given.Angle, given.Towards, nearest)
			}
			turned := given.Angle.Degrees()
			if r.Part.HalfSpeed {
				turned /= 2
			}
			if nearest != "" && math.Abs(turned-least) > 4 && given.Past != (turned > least) {
				t.Errorf("stand %d, %s: %.1f of %.1f degrees, past it: %v", i, l.Name, turned, least, given.Past)
			}
			switch {
			case given.Past:
				past++
			case nearest != "":
				named++
			default:
				none++
			}
		}
	}
	if named < stands*4/3 || none < stands/3 || past < stands/30 {
		t.Errorf("got %d orders towards a line, %d without, %d past one: too few to show anything", named, none, past)
	}
}

// A line whose only fellow lies across the part goes towards none.
func TestTowardsNoLineAcrossThePart(t *testing.T) {
	t.Parallel()
	r := newRig(testkit.Rand(t, 804))
	r.line("near", 0, 0)
	r.line("across", 180, 0.3)
	r.Lines[0].Offset = 0.5
	result, err := audit.Run(r.sheet())
	if err != nil {
		t.Fatal(err)
	}
	for _, given := range result.Advice.Forced {
		if given.Towards != "" {
			t.Errorf("got %+v, want towards none", given)
		}
	}
}
