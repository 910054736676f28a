package words

import (
	"strings"
	"testing"

	"markaudit/audit/plan"
	"markaudit/audit/repeatability"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
)

// A scatter that does not show is called so, and is no zero: of middles, of the top
// that a dial reads, of a history, of a hand, and in what a plan takes for granted.
func TestNoScatterIsNoZero(t *testing.T) {
	_, _, repeats := TopOf(Audit{}, tdc.Setup{Height: &tdc.Height{N: 3}})
	past := History{Result: sheet.History{Step: 0.25, Sheets: []sheet.PastSheet{{Middle: sheet.Deviation{DOF: 12}}}}}.Says()
	for what, c := range map[string]struct{ got, want string }{
		"middles, but for arithmetic": {RepeatTo(1e-14, 3), "all alike"},
		"middles that differ":         {RepeatTo(0.0123, 3), "0.012°"},
		"a history":                   {scatterOf(0), "all alike"},
		"a history with scatter":      {scatterOf(0.123), "0.12°"},
		"a dial's top":                {repeats, "all alike"},
		"a hand":                      {tries(repeatability.Estimate{Known: true}), "every second try showed the same as the first"},
		"a hand that scatters":        {tries(repeatability.Estimate{Known: true, Value: 0.1}), "a second try within 0.28° of the first, 19 times in 20"},
		"a history's sheets":          {past, "1 sheet with a step of 0.25°. Middles of two contacts scatter by less than the step lets see (standard deviation, 12 degrees of freedom, 1 sheet). Readings of a line scatter by: not seen. Remounting changes a line by: not seen."},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", what, c.got, c.want)
		}
	}
	for guess, hidden := range map[plan.Guess]bool{{Middle: 0.1, Reading: 0.1, Remount: 0.1}: false, {Middle: 0.1, Remount: 0.1}: true} {
		if got := strings.Contains(Plan{}.Granted(guess, nil), "0° stands for a scatter that the step hides"); got != hidden {
			t.Errorf("%+v: told as hidden %v, want %v", guess, got, hidden)
		}
	}
}
