package guide

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

// plainNumber writes what was typed or came from a readout as a readings file takes
// it: 338, +338.5, .5, 338., 21 deg, 338,5 and 21 1/4 on a wheel, 335 on a rim
// whose unit was given before. What it does not know it leaves as it is, for the
// reader to refuse.
func plainNumber(s State, text string) string {
	if s.onDial() {
		return dialText(s, text, s.view.Step.Item)
	}
	text = decimal(strings.TrimSpace(text))
	if s.view.Sheet.Readout.Kind == sheet.Rim {
		return withUnit(s, text, func(r readings.Row) string {
			if r.Setup != s.setup {
				return ""
			}
			return r.Reading
		})
	}
	digits, letters := text, ""
	for _, side := range []string{" BTDC", " ATDC", " btdc", " atdc"} {
		if before, ok := strings.CutSuffix(text, side); ok {
			digits, letters = strings.TrimSpace(before), strings.ToUpper(side)
		}
	}
	for _, unit := range []string{"degrees", "deg", "°"} {
		if before, ok := strings.CutSuffix(digits, unit); ok {
			digits = strings.TrimSpace(before)
			break
		}
	}
	if n, ok := fraction(digits); ok {
		return n + letters
	}
	plain, minus := digits, ""
	if rest, ok := strings.CutPrefix(plain, "+"); ok {
		plain = rest
	} else if rest, ok := strings.CutPrefix(plain, "-"); ok {
		plain, minus = rest, "-"
	}
	if plain == "" || strings.Trim(plain, "0123456789.") != "" || strings.Count(plain, ".") > 1 || plain == "." {
		return text
	}
	if plain = strings.TrimSuffix(plain, "."); plain[0] == '.' {
		plain = "0" + plain
	}
	return minus + plain + letters
}

// fraction reads 21 1/4 and 1/2: whole degrees and a part of one.
func fraction(text string) (string, bool) {
	whole, part, two := strings.Cut(text, " ")
	if !two {
		whole, part = "0", text
	}
	over, under, ok := strings.Cut(strings.TrimSpace(part), "/")
	if !ok {
		return "", false
	}
	w, err1 := strconv.ParseUint(whole, 10, 16)
	n, err2 := strconv.ParseUint(over, 10, 8)
	d, err3 := strconv.ParseUint(under, 10, 8)
	if err1 != nil || err2 != nil || err3 != nil || !slices.Contains([]uint64{2, 4, 8, 10}, d) || n >= d {
		return "", false
	}
	return strconv.FormatFloat(float64(w)+float64(n)/float64(d), 'f', -1, 64), true
}

// withUnit gives a length the unit of the latest one of its kind, where it has
// none itself: the unit is typed once.
func withUnit(s State, text string, of func(readings.Row) string) string {
	if _, _, err := geometry.ParseLength(text); err == nil {
		return text
	}
	for _, r := range slices.Backward(s.rows) {
		_, unit, err := geometry.ParseLength(of(r))
		if err != nil {
			continue
		}
		if _, _, err := geometry.ParseLength(text + " " + unit.String()); err == nil {
			return text + " " + unit.String()
		}
		return text
	}
	return text
}

// oddPartner refuses a contact that does not fit its partner where the partner is the one
// that is off: else the right number would be refused and the sheet blamed.
func oddPartner(s State, row readings.Row) error {
	open := s.unpaired()
	if row.Item != "stop" || open < 0 {
		return nil
	}
	partner := s.rows[open]
	d, off := offItsSide(s, partner, open)
	if !off {
		return nil
	}
	forward, backward := angleOf(partner), angleOf(row)
	if partner.Approach == sheet.Backward.String() {
		forward, backward = backward, forward
	}
	counts := s.view.Sheet.Readout.Counts
	if counts == 0 {
		counts = geometry.CountsUp
	}
	if arc := counts.Arc(forward, backward); arc > 0 && arc <= 180 {
		return nil
	}
	return refuse("the "+partner.Approach+" contact of this pair, "+partner.Reading+", lies "+
		strconv.FormatFloat(math.Round((d.Value-d.Others).Wrap().Abs().Degrees()*10)/10, 'f', -1, 64)+" degrees from the others of its side, so this one cannot be its partner",
		"undo that one and read it again, or strike it with the reason; this number was not kept")
}

// angleOf is what a row shows, as an angle; zero where it does not read as one.
func angleOf(r readings.Row) geometry.Angle {
	v, _, err := geometry.ParseAngle(r.Reading)
	if err != nil {
		return 0
	}
	return v
}

// offItsSide holds a contact against the others of its side in the setup: their
// median, within a degree or two steps. Common practice, no source.
func offItsSide(s State, row readings.Row, but int) (Doubt, bool) {
	if k := s.view.Sheet.Readout.Kind; k == sheet.Rim || k == sheet.Dial {
		return Doubt{}, false
	}
	if _, _, err := geometry.ParseAngle(row.Reading); err != nil {
		return Doubt{}, false
	}
	var others []geometry.Angle
	mine := angleOf(row)
	for i, r := range s.rows {
		if i != but && r.Setup == row.Setup && r.Item == row.Item && r.Approach == row.Approach && r.Struck == "" {
			others = append(others, mine+(angleOf(r)-mine).Wrap())
		}
	}
	if len(others) == 0 {
		return Doubt{}, false
	}
	slices.Sort(others)
	median := (others[(len(others)-1)/2] + others[len(others)/2]) / 2
	limit := max(apartDegrees, apartSteps*s.view.Sheet.Readout.Step)
	return Doubt{Kind: ContactApart, Item: row.Item, Value: mine, Others: median}, (mine - median).Abs() > limit+geometry.Tie
}

// decimal writes the decimal comma of some keyboards as a point. Where one
// number is asked for, one comma between digits cannot be anything else.
func decimal(text string) string {
	if i := strings.IndexByte(text, ','); i > 0 && i+1 < len(text) && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") &&
		'0' <= text[i-1] && text[i-1] <= '9' && '0' <= text[i+1] && text[i+1] <= '9' {
		return text[:i] + "." + text[i+1:]
	}
	return text
}
