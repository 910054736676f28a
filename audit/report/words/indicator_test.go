package words

import (
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Where an indicator finds TDC the valves may meet a stop, or the engine may not be
// turned backward onto it: so no sentence may tell anybody to fit one. Common practice,
// no source.
func TestNoStopWhereAnIndicatorFindsTDC(t *testing.T) {
	for _, name := range []string{"drops", "sweep"} {
		s, _, err := sheet.Read(name, testkit.Read(t, "sheets/good/"+name+".yaml"), nil)
		if err != nil {
			t.Fatal(err)
		}
		s.Setups = slices.DeleteFunc(s.Setups, func(setup sheet.Setup) bool { return setup.Method == sheet.Stop })
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		v := NewAudit(r, nil)
		never := func(what, text string) {
			t.Helper()
			for _, word := range []string{"stop", "contact", "closing pair"} {
				if strings.Contains(strings.ToLower(text), word) {
					t.Errorf("%s, %s: %s", name, what, text)
				}
			}
		}
		for _, kind := range []diagnosis.ObservationKind{diagnosis.ReadAgain, diagnosis.ClosingPair, diagnosis.OtherBankContacts, diagnosis.SecondSetup, diagnosis.QuarterTurn} {
			for mounting := range r.TDC.Mountings {
				o := diagnosis.Observation{Kind: kind, Mounting: mounting, Expect: 1, Instead: 2, Cylinder: "2"}
				if text := observe(v, o); kind != diagnosis.QuarterTurn { // with nothing in the piston's way
					never(kind.String(), text)
				}
			}
		}
		v.Result.Diagnosis.CloseFirst = &diagnosis.Observation{Kind: diagnosis.ClosingPair}
		never("first", closeFirst(v))
		for _, code := range []diagnosis.Code{diagnosis.ReadoutMoved, diagnosis.ReadoutMovedAfter, diagnosis.MovedBetween} {
			never("reason", mayHaveHappened(v, diagnosis.Explanation{Code: code, Shift: 2, Offset: make([]geometry.Angle, len(r.Lines))}))
		}
		for _, code := range []warning.Code{warning.OneTrial, warning.TwoTrials, warning.NoPair} {
			never(string(code), Warning(v, warning.Warning{Code: code, Setup: "1"}))
		}
		never("pairs", morePairs(v, 2))
	}
}
