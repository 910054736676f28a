package rates

import (
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/rehearse"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
)

// verdicts counts the lines with a verdict.
func verdicts(o rehearse.Opened, v diagnosis.Verdict) (n int) {
	for _, l := range o.Lines {
		if l.Mark.Verdict == v {
			n++
		}
	}
	return n
}

// teaches is what the audit should come to in each story.
var teaches = map[string]func(o rehearse.Opened) bool{
	"good": func(o rehearse.Opened) bool { return verdicts(o, diagnosis.Within) == len(o.Lines) },
	"one-line": func(o rehearse.Opened) bool {
		return o.Result.Together.Finding == lines.SingleMark && o.Result.Together.StandsOut[0] == "fire 10"
	},
	"bent-pointer": func(o rehearse.Opened) bool {
		return o.Result.Together.Finding == lines.Common && o.Result.Advice.Together.Worthwhile
	},
	"slipped-ring":     func(o rehearse.Opened) bool { return o.Result.Slip() == audit.RingSlipped },
	"moved-readout":    func(o rehearse.Opened) bool { return o.Result.Diagnosis.ReadoutMoved() },
	"differing-setups": func(o rehearse.Opened) bool { return o.Result.Diagnosis.SetupsDiffer() },
	"off-centre": func(o rehearse.Opened) bool {
		return verdicts(o, diagnosis.Outside) == 0 && o.Lines[2].Mark.Verdict == diagnosis.Undecided
	},
	"lost-motion":   func(o rehearse.Opened) bool { return warned(o.Result, warning.LostMotionSeen) },
	"shallow-stop":  func(o rehearse.Opened) bool { return warned(o.Result, warning.StopInDwell) },
	"creeping-stop": func(o rehearse.Opened) bool { return warned(o.Result, warning.HalfArcCreeps) },
	"misread":       func(o rehearse.Opened) bool { return warned(o.Result, warning.StandsOut) },
	"swapped-names": func(o rehearse.Opened) bool { return warned(o.Result, warning.DeclarationSuspect) },
	"undecided":     func(o rehearse.Opened) bool { return o.Lines[1].Mark.Verdict == diagnosis.Undecided },
	"class": func(o rehearse.Opened) bool { // the hasty hand of one of five shows
		return len(o.Result.TDC.Setups) == 15 &&
			(warned(o.Result, warning.ScattersDiffer) || warned(o.Result, warning.HalfArcJumps) || warned(o.Result, warning.StandsOut))
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
