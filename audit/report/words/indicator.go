package words

import (
	"slices"
	"strings"

	"markaudit/audit/diagnosis"
	"markaudit/audit/sheet"
)

// byIndicator is how TDC was found where no setup used a stop: by equal drops or by a
// sweep of an indicator. Nothing may then tell anybody to fit a stop: the valves may
// meet it, or the engine may not be turned backward onto it.
func byIndicator(v Audit) (way string, without bool) {
	var ways []sheet.Method
	for _, s := range v.Result.TDC.Setups {
		ways = append(ways, s.Method)
	}
	if len(ways) == 0 { // none found TDC, though that was tried
		for _, s := range v.Result.Sheet.Setups {
			ways = append(ways, s.Method)
		}
	}
	switch {
	case len(ways) == 0 || v.onDial() || slices.Contains(ways, sheet.Stop):
		return "", false
	case ways[len(ways)-1] == sheet.Sweep:
		return "sweep", true
	}
	return "equal drops", true
}

// pairOfTDC is a pair that finds it, and pairsOfTDC several, in the words of the method.
func pairOfTDC(v Audit) string {
	if _, without := byIndicator(v); without {
		return "pair of readings at equal drop"
	}
	return "pair of stop contacts"
}

func pairsOfTDC(v Audit) string {
	return strings.Replace(pairOfTDC(v), "pair", "pairs", 1)
}

// observeIndicator says what to measure where an indicator finds TDC; empty where the
// words for a stop do as well.
func observeIndicator(v Audit, o diagnosis.Observation) string {
	way, without := byIndicator(v)
	if !without {
		return ""
	}
	anew := "readout off and on again, the " + way + ", the lines, and the " + way + " once more."
	switch {
	case o.Kind == diagnosis.ClosingPair:
		n := v.StepDecimals() + 1
		text := "Take the " + way + " once more, the readout left as it is: a further setup of the same mounting. TDC must come at " + mustShowAgain(v, o, n)
		if o.Instead != o.Expect {
			text += "; " + v.Shows(o.Instead, n) + " would mean that the readout moved"
		}
		return text + ". If the readout was taken off or touched since, take a second setup instead: " + anew
	case o.Kind == diagnosis.SecondSetup:
		return "Take another setup: " + anew
	case o.Kind == diagnosis.ReadAgain && o.On == "" && len(o.Lines) == 0:
		of := max(o.Mounting, 0)
		if of < len(v.Result.TDC.Mountings)-1 { // the readout has been off since
			return "Take another setup in place of " + mountingName(v, of) + ": " + anew
		}
		return "Take the " + way + " of " + mountingName(v, of) + " again, without touching the readout; if it has been off since, take another setup instead."
	case o.Kind == diagnosis.OtherBankContacts:
		return "Find TDC of cylinder " + Clean(o.Cylinder) + " too, by " + oneOf(way) + ", the readout untouched."
	}
	return ""
}

// oneOf is a way with the word that stands before it in a sentence.
func oneOf(way string) string {
	if way == "sweep" {
		return "a sweep"
	}
	return way
}
