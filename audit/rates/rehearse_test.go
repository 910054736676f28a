package rates

import (
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/rehearse"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
)

// verdicts counts the lines with a verdict.
func verdicts(o rehearse.Opened, v uncertainty.Verdict) (n int) {
	for _, l := range o.Lines {
		if l.Mark.Verdict == v {
			n++
		}
	}
	return n
}

// teaches is what the audit should come to in each story.
var teaches = map[string]func(o rehearse.Opened) bool{
	"good": func(o rehearse.Opened) bool { return verdicts(o, uncertainty.Within) == len(o.Lines) },
	"one-line": func(o rehearse.Opened) bool {
		return o.Result.Shift.Finding == audit.SingleMark && o.Result.Shift.StandsOut[0] == "fire 10"
	},
	"bent-pointer": func(o rehearse.Opened) bool {
		return o.Result.Shift.Finding == audit.Common && o.Result.Shift.Scribe.Worthwhile
	},
	"slipped-ring":     func(o rehearse.Opened) bool { return o.Result.Slip == audit.RingSlipped },
	"moved-readout":    func(o rehearse.Opened) bool { return o.Result.Moved },
	"differing-setups": func(o rehearse.Opened) bool { return o.Result.Differ },
	"off-centre": func(o rehearse.Opened) bool {
		return verdicts(o, uncertainty.Outside) == 0 && o.Lines[2].Mark.Verdict == uncertainty.Undecided
	},
	"lost-motion":   func(o rehearse.Opened) bool { return warned(o.Result, audit.LostMotionSeen) },
	"shallow-stop":  func(o rehearse.Opened) bool { return warned(o.Result, audit.StopInDwell) },
	"creeping-stop": func(o rehearse.Opened) bool { return warned(o.Result, audit.HalfArcCreeps) },
	"misread":       func(o rehearse.Opened) bool { return warned(o.Result, audit.StandsOut) },
	"swapped-names": func(o rehearse.Opened) bool { return warned(o.Result, audit.DeclarationSuspect) },
	"undecided":     func(o rehearse.Opened) bool { return o.Lines[1].Mark.Verdict == uncertainty.Undecided },
	"class": func(o rehearse.Opened) bool { // the hasty hand of one of five shows
		return len(o.Result.TDC.Setups) == 15 &&
			(warned(o.Result, audit.ScattersDiffer) || warned(o.Result, audit.HalfArcJumps) || warned(o.Result, audit.StandsOut))
	},
}

// TestRehearse is that every story teaches what it is meant to: the audit comes to
// it nearly always.
func TestRehearse(t *testing.T) {
	var cells []cell
	for _, s := range rehearse.Scenarios() {
		of, ok := teaches[s.Name]
		if !ok {
			t.Errorf("%s: nothing is asked of it", s.Name)
			continue
		}
		least := 0.85
		if s.Name == "class" {
			least = 0.6
		}
		cells = append(cells, cell{
			name: s.Name, draws: 300, asks: []ask{atLeast(least, "it teaches what it is meant to", promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				measured, truth := s.Rig(rng).Measure(rng)
				again, _, err := sheet.Read(s.Name+".yaml", []byte(sheet.Write(measured)), nil)
				if err != nil {
					t.Fatal(err)
				}
				o, err := rehearse.Compare(rehearse.Sealed{Scenario: s.Name, Digest: again.Digest, Story: s.Story, Truth: truth}, again, nil)
				if err != nil {
					t.Fatal(err)
				}
				return answers(of(o))
			},
		})
	}
	measure(t, cells)
}
