package rehearse

import (
	"slices"
	"strings"

	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// Item is what points are given for.
type Item string

// The items: of a line its offset and its verdict; of a sheet the cause, and what
// would confirm it; of a person whether the hand scatters, whether it sits off, and
// what it needs.
const (
	OffBy    Item = "off_by"
	Verdict  Item = "verdict"
	OfCause  Item = "cause"
	Confirm  Item = "confirm"
	Scatters Item = "scatters"
	SitsOff  Item = "sits_off"
	Advice   Item = "advice"
)

func (i Item) String() string { return spaced(string(i)) }

func spaced(word string) string { return strings.ReplaceAll(word, "_", " ") }

// Reason says why an item has its points.
type Reason string

// The reasons; points in brackets.
const (
	NotAnswered Reason = "not_answered" // (0)
	Near        Reason = "near"         // (1) within what the readings allow, or a tenth of the tolerance
	RatherNear  Reason = "rather_near"  // (½) within twice that
	Far         Reason = "far"          // (0)
	WrongWay    Reason = "wrong_way"    // (0) late for early, or early for late
	AsAudited   Reason = "as_audited"   // (1) as the audit decides, and rightly
	Needless    Reason = "needless"     // (½) undecided where the readings decide
	TooBold     Reason = "too_bold"     // (0) decided where they do not
	Mistaken    Reason = "mistaken"     // (0) decided against the truth
	AuditWrong  Reason = "audit_wrong"  // (1) the audit is wrong against the truth, so either counts
	Hit         Reason = "hit"          // (1) named, and it is so
	Missed      Reason = "missed"       // (0)
	FalseBlame  Reason = "false_blame"  // (-1) named, and it is not so
	RightlyLeft Reason = "rightly_left" // (0 of 0) not named, and it is not so

	RightCause     Reason = "right_cause"     // (1)
	AnotherReading Reason = "another_reading" // (½) cannot be told, and the audit asks for another reading
	CouldBeTold    Reason = "could_be_told"   // (0) cannot be told, and these readings tell
	OtherCause     Reason = "other_cause"     // (0)
	AsAsked        Reason = "as_asked"        // (1) what the audit asks for, or nothing where it asks for nothing
	TellsToo       Reason = "tells_too"       // (½) a second setup, where less would do
	NotNeeded      Reason = "not_needed"      // (½) something, where nothing is asked for
	SomethingAsked Reason = "something_asked" // (0) nothing, where something is asked for
	TellsNothing   Reason = "tells_nothing"   // (0) it does not tell one explanation from another
	RightAdvice    Reason = "right_advice"    // (1)
	OtherAdvice    Reason = "other_advice"    // (0)
	OwnWords       Reason = "own_words"       // (0 of 0) for the instructor to read
)

// Scored is one item with its points.
type Scored struct {
	Mark       string // or the person; empty: the sheet as a whole
	Item       Item
	Points, Of float64
	Reason     Reason
}

// mark gives the points of a line. What nobody answered is not right.
func (l *Line) mark() []Scored {
	a := l.Answer
	offset := Scored{Mark: l.Name, Item: OffBy, Of: 1, Reason: NotAnswered}
	verdict := Scored{Mark: l.Name, Item: Verdict, Of: 1, Reason: NotAnswered}
	if a != nil && a.HasOff {
		room := l.room()
		switch off := (a.Off - l.Offset).Abs(); {
		case off <= room:
			offset.Points, offset.Reason = 1, Near
		case off <= 2*room:
			offset.Points, offset.Reason = 0.5, RatherNear
		case a.Off != 0 && (a.Off > 0) != (l.Offset > 0) && (a.Off+l.Offset).Abs() <= room:
			offset.Reason = WrongWay
		default:
			offset.Reason = Far
		}
	}
	if a != nil && a.HasVerdict {
		audit := l.Mark.Verdict
		switch {
		case l.Wrong:
			verdict.Points, verdict.Reason = 1, AuditWrong
		case a.Verdict == audit:
			verdict.Points, verdict.Reason = 1, AsAudited
		case a.Verdict == diagnosis.Undecided:
			verdict.Points, verdict.Reason = 0.5, Needless
		case l.Misjudge:
			verdict.Reason = Mistaken
		default:
			verdict.Reason = TooBold
		}
	}
	return []Scored{offset, verdict}
}

// Points are those of all items, and how many there are to have.
func (o Opened) Points() (points, of float64) {
	for _, s := range o.Score {
		points, of = points+s.Points, of+s.Of
	}
	return points, of
}

// HandAnswer is what an apprentice wrote down of one person.
type HandAnswer struct {
	By                string
	Scatters, SitsOff bool
	Answered          [2]bool // either of them
	Advice            string  // one of [Advised], or words of one's own
}

// markHands gives the points of a class: one for each hand that is named rightly,
// one less for each good hand that is blamed.
func (o *Opened) markHands(answers []HandAnswer) error {
	known := map[string]*HandAnswer{} // only looked up
	for i := range answers {
		known[answers[i].By] = &answers[i]
		if !slices.ContainsFunc(o.Hands, func(h simulate.TrueHand) bool { return h.By == answers[i].By }) {
			return &geometry.Refusal{Text: "found an answer for " + inputerror.Visible(answers[i].By) + ", nobody of this name on the sheet"}
		}
	}
	for _, h := range o.Hands {
		a := known[h.By]
		for i, x := range []struct {
			item        Item
			true, named bool
		}{{Scatters, h.Scatters, a != nil && a.Scatters}, {SitsOff, h.SitsOff, a != nil && a.SitsOff}} {
			s := Scored{Mark: h.By, Item: x.item, Reason: RightlyLeft}
			if x.true {
				s.Of = 1
			}
			switch {
			case a == nil || !a.Answered[i]:
				s.Reason = NotAnswered
			case x.named && x.true:
				s.Points, s.Reason = 1, Hit
			case x.named:
				s.Points, s.Reason = -1, FalseBlame
			case x.true:
				s.Reason = Missed
			}
			o.Score = append(o.Score, s)
		}
		if h.Needs != "" {
			o.Score = append(o.Score, advised(h, a))
		}
	}
	return nil
}

// advised gives the points for what a hand is said to need.
func advised(h simulate.TrueHand, a *HandAnswer) Scored {
	s := Scored{Mark: h.By, Item: Advice, Of: 1}
	switch {
	case a == nil || a.Advice == "":
		s.Reason = NotAnswered
	case a.Advice == h.Needs:
		s.Points, s.Reason = 1, RightAdvice
	case slices.Contains(Advised(), a.Advice):
		s.Reason = OtherAdvice
	default:
		s.Of, s.Reason = 0, OwnWords
	}
	return s
}
