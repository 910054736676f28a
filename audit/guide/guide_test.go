package guide

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

const form = `engine:
  turns: clockwise
part:
  marks_on: part
readout:
  step: 0.5
  counts: up
limits:
  tolerance: 1.5
marks:
  - name: TDC
    at: 0
  - name: fire 10
    at: 10 BTDC
  - name: third
    at: 120
readings: a.csv
`

func begin(t interface{ Fatal(...any) }, text string, rows []readings.Row) State {
	s, err := New("mill.yaml", []byte(text), func(string) ([]byte, error) {
		if rows == nil {
			return nil, fs.ErrNotExist
		}
		return readings.Write(rows), nil
	}, Memory{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// script plays words as events: in, out, a number for what is asked, or
// KIND:TEXT.
func script(t *testing.T, s State, words ...string) State {
	t.Helper()
	for _, w := range words {
		next, _, err := s.Apply(event(w))
		if err != nil {
			t.Fatalf("%s: %v", w, err)
		}
		s = next
	}
	return s
}

func event(word string) Event {
	kind, text, _ := strings.Cut(word, ":")
	switch kind {
	case "in":
		return Event{Kind: StopIn}
	case "out":
		return Event{Kind: StopOut, Sure: true}
	case "tap out":
		return Event{Kind: StopOut}
	case "down":
		return Event{Kind: Down}
	case "stuck":
		return Event{Kind: Stuck}
	case "answer":
		return Event{Kind: Answer, Text: text, Sure: true}
	case "undo":
		return Event{Kind: Undo}
	case "skip":
		return Event{Kind: Skip}
	case "bumped":
		return Event{Kind: Bumped, Text: text}
	case "new":
		return Event{Kind: NewSetup}
	case "in still, next":
		return Event{Kind: Choose, Item: text, Sure: true}
	case "next":
		return Event{Kind: Choose, Item: text}
	case "by":
		return Event{Kind: Operator, Text: text}
	case "strike":
		n, reason, _ := strings.Cut(text, " ")
		var row int
		_, _ = fmt.Sscan(n, &row)
		return Event{Kind: Strike, Row: row, Text: reason}
	}
	return Event{Kind: Read, Text: word}
}

// where is the step in a word or two.
func where(s State) string {
	step := s.View().Step
	switch step.Kind {
	case Ask:
		return fmt.Sprint("ask ", step.Question)
	case Lower:
		return "down"
	case Fit:
		return "fit"
	case TakeOut:
		return "take out"
	case Decide:
		return "decide"
	}
	return strings.TrimSpace(fmt.Sprintf("%s %v %s", step.Item, step.Approach, step.Trial))
}

// One more pair while the stop is still in is a pair of the same setup; where nobody
// said that it is in still, it may have been loosened, and the pair is of another one.
func TestOneMorePair(t *testing.T) {
	for word, want := range map[string]struct{ then, setup string }{
		"in still, next:stop": {fmt.Sprint("ask ", Where), "1"},
		"next:stop":           {fmt.Sprint("ask ", WhereStop), "2"},
	} {
		s := script(t, begin(t, form, nil), "out", "answer:clockwise", "10", "100", "answer:yes", "answer:yes", "down", "in", "338", "22", "338", "22.5", "338", "22")
		if where(s) != "take out" {
			t.Fatalf("at %s", where(s))
		}
		s = script(t, s, word)
		if where(s) != want.then {
			t.Errorf("%s: at %s, want %s", word, where(s), want.then)
		}
		if want.setup == "2" {
			s = script(t, s, "in")
		}
		if s = script(t, s, "answer:with", "338", "22"); s.View().Setup != want.setup {
			t.Errorf("%s: setup %s, want %s", word, s.View().Setup, want.setup)
		}
	}
}

// One setup from its first question to its end: what is asked for after each
// answer. Lines come in the order in which they pass after the stop.
func TestWholeSetup(t *testing.T) {
	steps := []struct{ say, then string }{
		{"", fmt.Sprint("ask ", WhereStop)},
		{"out", fmt.Sprint("ask ", WhereBTDC)},
		{"answer:clockwise", fmt.Sprint("ask ", QuarterFrom)},
		{"10", fmt.Sprint("ask ", QuarterTo)},
		{"100,5", fmt.Sprint("ask ", Valves)},
		{"answer:yes", fmt.Sprint("ask ", TurnBack)},
		{"answer:yes", "down"},
		{"down", "fit"},
		{"in", "stop forward 1"},
		{"338", "stop backward 1"},
		{"22", "stop forward 2"},
		{"338", "stop backward 2"},
		{"22.5", "stop forward 3"},
		{"338", "stop backward 3"},
		{"22", "take out"}, // TDC is sure to 0.36°, a quarter of the tolerance
		{"out", "third forward"},
		{"120.5", "fire 10 forward"},
		{"350", "TDC forward"},
		{"0", "third forward"},
		{"120", "fire 10 forward"},
		{"350.5", "TDC forward"},
		{"0.5", "third forward"},
		{"120.5", "fire 10 forward"},
		{"350", "TDC forward"},
		{"0", "down"},
		{"down", "fit"},
		{"in", "closing forward 1"},
		{"337", "closing backward 1"},
		{"23", "take out"}, // the last step, before any result
		{"tap out", fmt.Sprint("ask ", HoleEmpty)},
		{"answer:yes", "decide"},
		{"next:third", "third forward"},
		{"120", "decide"},
		{"new", "down"},
		{"down", "fit"},
		{"in", "stop forward 1"},
	}
	s := begin(t, form, nil)
	for i, step := range steps {
		if step.say != "" {
			s = script(t, s, step.say)
		}
		if got := where(s); got != step.then {
			t.Fatalf("after %d, %q: got %s, want %s", i, step.say, got, step.then)
		}
	}
	if v := s.View(); v.Setup != "2" || !v.Enough {
		t.Errorf("got setup %s, enough %v; want 2 and true", v.Setup, v.Enough)
	}
	if text := string(s.text); !strings.Contains(text, "part:\n  btdc_lines: clockwise\n") || !strings.Contains(text, "readout:\n  quarter_turn: [10, 100.5]\n") {
		t.Errorf("the answers are not on the sheet:\n%s", text)
	}
}

func TestRefusals(t *testing.T) {
	ready := []string{"out", "skip", "skip", "answer:yes", "answer:yes", "down", "in"}
	started := append(slices.Clone(ready), "338", "22")
	slicesOf := func(words ...string) []string { return append(slices.Clone(started), words...) }
	tests := []struct {
		name  string
		words []string
		last  Event
		want  string
	}{
		{"the stop skipped", nil, Event{Kind: Skip}, "cannot be skipped"},
		{"reading to a question", nil, Event{Kind: Read, Text: "338"}, "that was a question"},
		{"contradicting side", []string{"out"}, Event{Kind: Answer, Text: "anticlockwise"}, "contradicts"},
		{"mirrored quarter turn", []string{"out", "skip", "100"}, Event{Kind: Read, Text: "10"}, "contradicts readout.counts: up"},
		{"piston not down", ready[:5], Event{Kind: Read, Text: "338"}, "bring the piston well down"},
		{"stop not in", ready[:6], Event{Kind: Read, Text: "338"}, "the stop is not in"},
		{"nobody reads", started, Event{Kind: Operator}, "found no name"},
		{"stop still in", slicesOf("338", "22", "338", "22"), Event{Kind: Read, Text: "0"}, "the stop is in"},
		{"no number", ready, Event{Kind: Read, Text: "wheel"}, "found wheel"},
		{"two numbers", ready, Event{Kind: Read, Text: "338 22"}, "found 338 22"},
		{"infinite", ready, Event{Kind: Read, Text: "1e999"}, "found 1e999"},
		{"nothing", ready, Event{Kind: Read}, "found nothing"},
		{"swapped contacts", append(slices.Clone(ready), "22"), Event{Kind: Read, Text: "338"}, "which block 316 degrees"},
		{"same contacts", append(slices.Clone(ready), "22"), Event{Kind: Read, Text: "22"}, "both contacts read the same"},
		{"strike without a reason", started, Event{Kind: Strike, Row: 1}, "found no reason"},
		{"strike nothing", started, Event{Kind: Strike, Row: 3, Text: "slipped"}, "found no reading 3"},
		{"strike twice", slicesOf("strike:1 slipped"), Event{Kind: Strike, Row: 1, Text: "again"}, "struck already"},
		{"unknown line", started, Event{Kind: Choose, Item: "fire 20"}, "no line of this name"},
		{"another thing between two contacts", slicesOf("338"), Event{Kind: Choose, Item: "TDC"}, "waits for the other one"},
		{"contacts left out", started, Event{Kind: Skip}, "contacts cannot be skipped"},
		{"answer to nothing", started, Event{Kind: Answer, Text: "yes"}, "no question is open"},
		{"nothing to undo", nil, Event{Kind: Undo}, "nothing was done here yet"},
		{"a novel", started, Event{Kind: Operator, Text: strings.Repeat("a", 201)}, "201 characters"},
		{"no such event", started, Event{}, "found nothing to do"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := script(t, begin(t, form, nil), tt.words...)
			after, change, err := s.Apply(tt.last)
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Fatalf("got %v, want %q in it", err, tt.want)
			}
			var refused *geometry.Refusal
			if !errors.As(err, &refused) {
				t.Errorf("got %T, want a refusal", err)
			}
			if change.Add != nil || change.Rows || change.Sheet != nil || where(after) != where(s) || !slices.Equal(after.Rows(), s.Rows()) {
				t.Error("something changed though the event was refused")
			}
		})
	}
}

// A bump between two contacts strikes the first, for its partner would be read
// from another zero. Undo forgets the bump and asks, but the first contact stays
// struck: the hand may have moved the wheel.
func TestBumped(t *testing.T) {
	s := script(t, begin(t, form, nil), "out", "skip", "skip", "answer:yes", "answer:yes", "down", "in", "338", "22", "338.5")
	s = script(t, s, "bumped")
	if r := s.Rows()[2]; r.Struck == "" || s.View().Setup != "2" || where(s) != fmt.Sprint("ask ", Where) {
		t.Errorf("got %+v in setup %s at %s, want it struck, setup 2 to begin and the position asked", r, s.View().Setup, where(s))
	}
	s = script(t, s, "undo")
	if s.Rows()[2].Struck == "" || s.View().Setup != "1" || where(s) != fmt.Sprint("ask ", Touched) {
		t.Errorf("undo left setup %s at %s and %+v", s.View().Setup, where(s), s.Rows()[2])
	}
}

// What happens between two steps, and what is asked or done then.
func TestWorldIsNotUndone(t *testing.T) {
	ready := []string{"out", "skip", "skip", "answer:yes", "answer:yes", "down", "in"}
	tests := []struct {
		name  string
		words []string
		then  string
		setup string
		rows  int // that count
	}{
		{"undo of a contact", []string{"338.5", "undo"}, fmt.Sprint("ask ", Where), "1", 0},
		{"and it rests there", []string{"338.5", "undo", "answer:against"}, "stop forward 1", "1", 0},
		{"and only the other one can be come to", []string{"338.5", "undo", "answer:with"}, "stop forward 1", "1", 0},
		{"and the number at once", []string{"338.5", "undo", "338"}, "stop backward 1", "1", 1},
		{"out voids a contact that waits", []string{"338.5", "out"}, "down", "1", 0},
		{"tap out, not confirmed", []string{"338.5", "tap out", "answer:no"}, fmt.Sprint("ask ", Where), "1", 1},
		{"tap out, confirmed", []string{"338.5", "tap out", "answer:yes"}, "down", "1", 0},
		{"undo of out", []string{"338.5", "out", "undo"}, fmt.Sprint("ask ", WhereStop), "1", 0},
		{"undo of in", []string{"undo"}, fmt.Sprint("ask ", WhereStop), "1", 0},
		{"undo while the stop is fitted", []string{"out", "down", "undo"}, fmt.Sprint("ask ", WhereStop), "1", 0},
		{"strike at a turn", []string{"338", "22", "strike:1 slipped"}, fmt.Sprint("ask ", Where), "1", 1},
		{"out and in again is another setup", []string{"338", "22", "out", "down", "in"}, "stop forward 1", "2", 2},
		{"it does not move", []string{"338", "stuck"}, "stop backward 1", "1", 1},
		{"eased off in vain", []string{"338", "next:stop", "answer:with", "stuck"}, fmt.Sprint("ask ", Where), "1", 1},
		{"eased off in vain before it is taken out", []string{"338", "22", "next:TDC", "answer:with", "stuck"}, fmt.Sprint("ask ", Where), "1", 2},
		{"held where no stop should be", []string{"338", "22", "out", "stuck"}, fmt.Sprint("ask ", WhereStop), "1", 2},
		{"by a stop that was fitted without a word", []string{"338", "22", "out", "stuck", "in", "answer:both"}, "stop forward 1", "2", 2},
		{"in at a line that was out", []string{"338", "22", "338", "22", "338", "22", "out", "in"}, fmt.Sprint("ask ", Where), "1", 6},
		{"name undone", []string{"by:Ana", "338", "undo", "undo"}, fmt.Sprint("ask ", Where), "1", 0},
		{"refitted", []string{"338", "22", "bumped:refitted", "in"}, fmt.Sprint("ask ", Where), "2", 2},
		{"turned on its shaft", []string{"338", "22", "bumped:turned"}, fmt.Sprint("ask ", Where), "2", 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := script(t, begin(t, form, nil), slices.Concat(ready, tt.words)...)
			counting := 0
			for _, r := range s.Rows() {
				if r.Struck == "" {
					counting++
				}
			}
			if where(s) != tt.then || s.View().Setup != tt.setup || counting != tt.rows {
				t.Errorf("got %s in setup %s with %d readings, want %s, %s and %d", where(s), s.View().Setup, counting, tt.then, tt.setup, tt.rows)
			}
		})
	}
}

// One setup is one fitting of the stop. Another shares the mounting of the readout,
// so that its lines need not be read again, or the fitting where only the wheel
// was turned.
func TestSharedBySetups(t *testing.T) {
	ready := []string{"out", "skip", "skip", "answer:yes", "answer:yes", "down", "in", "338", "22"}
	for _, tt := range []struct {
		words []string
		of    func(readings.Row) string
	}{
		{[]string{"out", "down", "in", "338.5", "22.5"}, func(r readings.Row) string { return r.Mounting }},
		{[]string{"bumped:refitted", "in", "338.5", "22.5"}, func(r readings.Row) string { return r.Mounting }},
		{[]string{"bumped:turned", "98", "142"}, func(r readings.Row) string { return r.Fitting }},
	} {
		s := script(t, begin(t, form, nil), slices.Concat(ready, tt.words)...)
		rows := s.Rows()
		if len(rows) != 4 || rows[0].Setup != "1" || rows[3].Setup != "2" || tt.of(rows[0]) != "A" || tt.of(rows[3]) != "A" {
			t.Errorf("%v: got %+v", tt.words, rows)
		}
		if s.View().Result == nil {
			t.Errorf("%v: cannot be audited: %v", tt.words, s.View().Trouble)
		}
	}
}

// A mistyped contact is named at once, and not the right one after it.
func TestMistypedContact(t *testing.T) {
	s := script(t, begin(t, form, nil), "out", "skip", "skip", "answer:yes", "answer:yes", "down", "in", "338", "22", "38")
	if d := s.View().Doubts; len(d) != 1 || d[0].Kind != ContactApart {
		t.Errorf("got %+v, want the contact to be doubted at once", d)
	}
	_, _, err := s.Apply(event("22"))
	if err == nil || !strings.Contains(err.Error(), "the forward contact of this pair, 38, lies 60 degrees from the others of its side") {
		t.Errorf("got %v", err)
	}
}

// What a keyboard or a readout writes for a number.
func TestSpellings(t *testing.T) {
	ready := []string{"out", "skip", "skip", "answer:yes", "answer:yes", "down", "in"}
	for typed, want := range map[string]string{
		"338": "338", " 338.5 ": "338.5", "338,5": "338.5", "+338.5": "338.5", "338.": "338", ".5": "0.5", "-.5": "-0.5", "+.5": "0.5",
		"21 deg": "21", "21°": "21", "21.5°": "21.5", "21 1/2": "21.5", "21 1/4": "21.25", "1/2": "0.5", "12°30'": "12°30'",
	} {
		s := script(t, begin(t, form, nil), append(slices.Clone(ready), typed)...)
		if got := s.Rows()[0].Reading; got != want {
			t.Errorf("%q was kept as %s, want %s", typed, got, want)
		}
	}
	for _, typed := range []string{"21 1/3", "21 3/2", "1/0", "3.3.8", "338 22", "deg", "."} {
		if _, _, err := script(t, begin(t, form, nil), ready...).Apply(Event{Kind: Read, Text: typed}); err == nil {
			t.Errorf("%q was kept", typed)
		}
	}
}

// What stands out is said at once, and a slip of the pen is not taken for it.
func TestDoubts(t *testing.T) {
	start := []string{"out", "skip", "skip", "answer:yes", "answer:yes", "down", "in", "338", "22", "338", "22"}
	tests := []struct {
		name  string
		words []string
		want  []DoubtKind
	}{
		{"as before", []string{"338.5", "22"}, nil},
		{"backward contact off", []string{"338", "26"}, []DoubtKind{ContactApart}},
		{"forward contact off", []string{"334"}, []DoubtKind{ContactApart}},
		{"both off, against each other", []string{"334", "26.5"}, []DoubtKind{ArcApart}},
		{"stop gave way", []string{"335", "25"}, []DoubtKind{ArcApart}},
		{"readout moved", []string{"343", "27"}, []DoubtKind{MiddleApart}},
		{"line far off", []string{"338", "22", "out", "130"}, []DoubtKind{FarOff}},
		{"point slipped in a contact", []string{"3380"}, []DoubtKind{BeyondTurn}},
		{"point slipped in a line", []string{"338", "22", "out", "1205"}, []DoubtKind{BeyondTurn}},
		{"line near", []string{"338", "22", "out", "121"}, nil},
		{"line elsewhere than before", []string{"338", "22", "out", "120", "next:third", "125"}, []DoubtKind{ReadingApart}},
		{"across the zero", []string{"338", "22", "out", "120", "350", "0", "120", "350", "359.5"}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := script(t, begin(t, form, nil), slices.Concat(start, tt.words)...)
			var got []DoubtKind
			for _, d := range s.View().Doubts {
				got = append(got, d.Kind)
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}
