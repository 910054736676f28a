package questions

import (
	"slices"
	"strings"
	"testing"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
)

func answered(t *testing.T, i Interview, pairs ...string) Interview {
	t.Helper()
	for n := 0; n < len(pairs); n += 2 {
		after, _, err := i.Answer(pairs[n], pairs[n+1])
		if err != nil {
			t.Fatalf("%s: %v", pairs[n], err)
		}
		i = after
	}
	return i
}

// The three that check each other: a contradiction keeps none of them, says so, and
// asks them in another order.
func TestContradictionOfThreeAsksAllAgain(t *testing.T) {
	for _, last := range []string{"btdc-lines", "turns", "carries"} {
		right := map[string]string{"carries": "pulley", "turns": "clockwise", "btdc-lines": "clockwise"}
		wrong := map[string]string{"carries": "scale", "turns": "anticlockwise", "btdc-lines": "anticlockwise"}
		i := Begin()
		for _, key := range []string{"carries", "turns", "btdc-lines"} {
			if key != last {
				i = answered(t, i, key, right[key])
			}
		}
		i, said, err := i.Answer(last, wrong[last])
		if err != nil || !said.Look || !strings.Contains(said.Text, "none of them is kept") {
			t.Fatalf("%s: got %q, %v", last, said.Text, err)
		}
		var asked []string
		for _, q := range i.Open() {
			if q.Look != "" {
				asked = append(asked, q.Key)
			}
		}
		if got := strings.Join(asked, " "); got != "btdc-lines turns carries" {
			t.Errorf("%s: asks %s", last, got)
		}
		for _, path := range []inputerror.Path{"engine.turns", "part.marks_on", "part.btdc_lines"} {
			if i.value(path) != "" {
				t.Errorf("%s: %s was written", last, path)
			}
		}
		i = answered(t, i, "btdc-lines", "clockwise")
		if q, _ := i.Question("turns"); !strings.Contains(q.Look, "2 of 3 still to answer") || strings.Contains(q.Look, "none of them is kept") {
			t.Errorf("%s: after one answer the next question says %q", last, q.Look)
		}
		i = answered(t, i, "turns", "clockwise", "carries", "flywheel")
		if i.of(noteAgain) != "" || i.value("engine.turns") != "clockwise" {
			t.Errorf("%s: three that agree are not kept:\n%s", last, i.Sheet())
		}
	}
}

func TestAnswersRefused(t *testing.T) {
	wheel := answered(t, Begin(), "readout", "wheel", "numbered", "round")
	tests := []struct {
		from        Interview
		key, answer string
		want        string
	}{
		{Begin(), "turns", "left", "expected clockwise or anticlockwise"},
		{Begin(), "turns", "", "found nothing"},
		{Begin(), "nonsense", "1", "no such question"},
		{wheel, "quarter-turn", "12 190", "not about a quarter turn apart"}, // engine.md's third
		{wheel, "quarter-turn", "12", "expected two readings"},
		{wheel, "step", "fine", "found fine"},
		{wheel, "step", "120", "90"},
		{answered(t, Begin(), "readout", "tape"), "quarter-turn", "14 mm then 400 mm", "the rim's size is open"},
		{Begin(), "lines", "all", "at least one"},
		{Begin(), "lines", "A at 10", "expected BTDC or ATDC"},
		{Begin(), "lines", "stop at 0", "expected another name"},
		{answered(t, Begin(), "lines", "A at 0"), "lines", "A at 4 BTDC", "a second time"},
		{Begin(), "rim", "158 mm", "expected across or round before a length"},
		{Begin(), "rim", "across 158", "a length"},
		{Begin(), "tolerance", "0.5 mm", "piston"},
		{Begin(), "tolerance", "0", "above zero"},
		{Begin(), "cylinders", "1 at 90", "found no cylinder at 0"},
		{Begin(), "off-centre", "0.3 mm", "without readout.diameter"},
		{Begin(), "correction", "x.json", "cannot read x.json"},
		{Begin(), "title", "a\u200bb", "cannot be seen"},
	}
	for _, test := range tests {
		after, _, err := test.from.Answer(test.key, test.answer)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: %q: got %v, want %q", test.key, test.answer, err, test.want)
		}
		if string(after.Sheet()) != string(test.from.Sheet()) {
			t.Errorf("%s: %q was refused and changed the sheet", test.key, test.answer)
		}
	}
}

// A two-stroke has no valves that clear, and a stop goes in all the same.
func TestStopSaidBack(t *testing.T) {
	for answer, want := range map[string]string{"yes": "You say the valves clear", "two-stroke": "no valves in the head", "no stop fits": "No stop goes in"} {
		i, said, err := Begin().Answer("stop", answer)
		if err != nil || !strings.Contains(said.Text, want) {
			t.Errorf("%s: said back as %q, %v", answer, said.Text, err)
		}
		wanted := "yes"
		if answer == "no stop fits" {
			wanted = "no"
		}
		if _, stop := Notes(i.Sheet()); stop != wanted {
			t.Errorf("%s: the recorder takes it as %q", answer, stop)
		}
	}
}

// Of an engine with one cylinder the sheet says that nothing is to be looked for in
// another, a copy too; and no longer once that is answered otherwise. What a hand wrote
// there stays.
func TestOneCylinder(t *testing.T) {
	i := answered(t, Begin(), "lines", "T at 0", "cylinders", "One cylinder")
	if i.sheet.Checked.Cylinders != true || i.ReadBack("cylinders") != "The engine has one cylinder." {
		t.Errorf("said back %q:\n%s", i.ReadBack("cylinders"), i.Sheet())
	}
	if again := Copy(i); !again.sheet.Checked.Cylinders || again.of(noteCylinders) != oneCylinder {
		t.Errorf("copied as:\n%s", again.Sheet())
	}
	for _, other := range []string{"one", "1 at 0; 2 at 90"} {
		if after := answered(t, i, "cylinders", other); after.sheet.Checked.Cylinders || strings.Contains(string(after.Sheet()), "checked") {
			t.Errorf("after %s:\n%s", other, after.Sheet())
		}
	}
	hand, err := Read("hand", []byte(strings.Replace(string(i.Sheet()), "checked: [cylinders]", "checked: [letters, cylinders]", 1)), nil)
	if err != nil {
		t.Fatal(err)
	}
	if after := answered(t, hand, "cylinders", "one"); !after.sheet.Checked.Letters || after.sheet.Checked.Cylinders {
		t.Errorf("of a hand's own:\n%s", after.Sheet())
	}
}

// Numbers stay as they were written; a decimal comma becomes a point, which a sheet
// needs.
func TestNumbersStayAsWritten(t *testing.T) {
	i := answered(t, Begin(), "readout", "wheel", "numbered", "round", "quarter-turn", "12,5 282", "rim", "round 22 3/8 in", "stroke", "6 1/4\"", "lines", "T at 4°30' atdc")
	for path, want := range map[inputerror.Path]string{"part.circumference": "22 3/8 in", "engine.stroke": `6 1/4"`, "readout.counts": "down", "marks[0].at": "4°30' ATDC"} {
		if got := i.value(path); got != want {
			t.Errorf("%s: got %q, want %q", path, got, want)
		}
	}
	if got := i.form.Items("readout.quarter_turn"); !slices.Equal(got, []string{"12.5", "282"}) {
		t.Errorf("got %q", got)
	}
	// 22.375 in / π = 7.122 in, and / 360 = 0.06215 in, by hand.
	i = answered(t, i, "rim", "round 22 3/8 in")
	if x, _ := i.item("rim"); x.say(i) != "7.12 in across = 22 3/8 in round = 0.0622 in a degree." {
		t.Errorf("got %q", x.say(i))
	}
	// 158 π = 496.4 and / 360 = 1.379, by hand.
	i = answered(t, i, "rim", "across 158 mm")
	if x, _ := i.item("rim"); x.say(i) != "158 mm across = 496 mm round = 1.38 mm a degree." || i.value("part.circumference") != "" {
		t.Errorf("got %q", x.say(i))
	}
}

// A sheet of another hand goes on from where it is: only what was answered changes.
func TestEditsAnExistingSheet(t *testing.T) {
	for _, file := range testkit.Files(t, "sheets/good/*.yaml") {
		text := testkit.Read(t, file)
		i, err := Read(file, text, testkit.Beside(t, "sheets/good"))
		if err != nil {
			t.Fatal(err)
		}
		if faults := i.Faults(); len(faults) > 0 || !i.Ready() {
			t.Errorf("%s: faults %v, ready %v", file, faults, i.Ready())
		}
		after, _, err := i.Answer("title", "Another title")
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		gone := strings.Split(string(text), "\n")
		for _, line := range strings.Split(string(after.Sheet()), "\n") {
			if at := slices.Index(gone, line); at >= 0 {
				gone = slices.Delete(gone, at, at+1)
			}
		}
		if len(gone) > 1 || len(gone) == 1 && !strings.HasPrefix(gone[0], "title:") {
			t.Errorf("%s: %q went with the title", file, gone)
		}
		if q, _ := i.Question("turns"); q.TurnsRound == "" {
			t.Errorf("%s: a change of the direction after the readings warns of nothing", file)
		}
	}
}

// A copy takes over what describes the type of engine, and asks again what could
// differ, with the earlier answer in words.
func TestCopy(t *testing.T) {
	for _, file := range testkit.Files(t, "sheets/good/*.yaml") {
		earlier, err := Read(file, testkit.Read(t, file), testkit.Beside(t, "sheets/good"))
		if err != nil {
			t.Fatal(err)
		}
		i := Copy(earlier)
		if faults := i.Faults(); len(faults) > 0 || i.Ready() {
			t.Errorf("%s: faults %v, ready %v\n%s", file, faults, i.Ready(), i.Sheet())
		}
		if i.marks() != earlier.marks() {
			t.Errorf("%s: %d lines of %d", file, i.marks(), earlier.marks())
		}
		for _, path := range []inputerror.Path{"engine.turns", "part.marks_on", "part.btdc_lines", "part.diameter", "part.circumference", "readout.counts", "limits.tolerance", "engine.number", "part.number", "title", "job", "date"} {
			if i.value(path) != "" {
				t.Errorf("%s: %s was copied", file, path)
			}
		}
		if q, _ := i.Question("turns"); !strings.HasPrefix(q.Last, "It runs "+earlier.value("engine.turns")) || q.Now != "" {
			t.Errorf("%s: last time: %q, now: %q", file, q.Last, q.Now)
		}
		again := Again(earlier)
		for _, path := range sameEngine {
			if again.value(path) != earlier.value(path) || again.Ready() {
				t.Errorf("%s: %s of a proof is %q, want that of the same engine, %q", file, path, again.value(path), earlier.value(path))
			}
		}
		i = answered(t, i, "turns", "clockwise")
		if q, _ := i.Question("turns"); q.Last != "" {
			t.Errorf("%s: %q stands there after the answer", file, q.Last)
		}
	}
}

// A dial finds TDC itself: nothing is asked of a wheel or a stop, and stroke and rod
// are due. Whether the engine may be turned back is asked, for the top is come to so. Another readout afterwards takes nothing of it over.
func TestDial(t *testing.T) {
	i := answered(t, Begin(), "title", "Moped", "carries", "other", "seen-from", "magneto side", "turns", "clockwise", "half-speed", "no", "readout", "dial", "btdc-lines", "clockwise",
		"step", "0,01 mm", "probe", "20 ± 3", "lines", "spark at 1,8 mm piston BTDC", "lines", "port at 30 ATDC", "lines", "all", "tolerance", "2", "line-1-tolerance", "0.15 mm piston",
		"rim", "across 92.0 ± 0.2 mm", "ring", "no", "cylinders", "one", "window", "no", "backward", "no", "stroke", "54 mm", "rod", "110 mm",
		"crown", "± 5", "dial-error", "± 0.015 mm", "dial-reversing", "0.003 ± 0.002 mm")
	if open := i.Open(); len(open) > 0 || !i.Ready() {
		t.Errorf("open %v, faults %v", open, i.faults)
	}
	testkit.Golden(t, "questions/dial.txt", string(i.Sheet()))
	for _, key := range []string{"numbered", "quarter-turn", "stop", "readout-diameter", "off-centre", "lost-motion"} {
		if _, asked := i.Question(key); asked {
			t.Errorf("%s is asked of a dial", key)
		}
	}
	if q, _ := i.Question("backward"); strings.Contains(q.Without+q.Choices[1].More, "stop") || strings.Contains(q.Choices[1].More, "sweep") || q.Choices[1].More == "" {
		t.Errorf("a stop or a sweep is spoken of with a dial: %+v", q)
	}
	i = answered(t, i, "readout", "wheel")
	if faults := i.Faults(); len(faults) > 0 || i.Ready() || strings.Contains(string(i.Sheet()), "crown") {
		t.Errorf("a wheel after a dial: faults %v, ready %v\n%s", faults, i.Ready(), i.Sheet())
	}
	if _, there := i.form.Value("readout.counts"); !there {
		t.Error("counts are not open on the sheet")
	}
}
