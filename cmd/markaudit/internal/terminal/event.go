package terminal

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"markaudit/audit/guide"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
)

// parseEvent reads a line of the dialogue.
func parseEvent(line string, v guide.View) (guide.Event, error) {
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	if v.Step.Kind == guide.Ask && slices.Contains(v.Step.Question.Answers(), strings.ToLower(line)) {
		return guide.Event{Kind: guide.Answer, Text: line, Sure: true}, nil
	}
	if rest == "" && (word == guide.Turned || word == guide.Refitted || word == guide.Knocked) {
		return guide.Event{Kind: guide.Bumped, Text: word}, nil
	}
	if kind := recorder.BareKind(word); kind != 0 {
		if rest != "" {
			return guide.Event{}, fmt.Errorf("found %s behind %s, expected nothing there", phrase.Shown(rest), word)
		}
		return guide.Event{Kind: kind, Sure: true}, nil
	}
	switch word {
	case "by":
		return guide.Event{Kind: guide.Operator, Text: rest}, nil
	case "strike":
		number, reason, _ := strings.Cut(rest, " ")
		n, err := strconv.Atoi(number)
		if err != nil {
			return guide.Event{}, fmt.Errorf("found %s behind strike, expected the number of a reading and the reason\n  hint: `list` shows the numbers", phrase.Shown(number))
		}
		return guide.Event{Kind: guide.Strike, Row: n, Text: reason}, nil
	case "next":
		e := guide.Event{Kind: guide.Choose, Item: rest}
		for _, way := range []sheet.Approach{sheet.Forward, sheet.Backward} {
			if item, ok := strings.CutSuffix(rest, " "+way.String()); ok {
				e.Item, e.Approach = item, way
			}
		}
		return e, nil
	}
	if !strings.ContainsAny(line[:1], "0123456789+-.,") && !strings.HasPrefix(line, "−") {
		return guide.Event{}, fmt.Errorf("found %s, expected a reading or one of the words\n  hint: `help` lists them", phrase.Shown(line))
	}
	e := guide.Event{Kind: guide.Read, Text: line}
	if v.Method == sheet.Sweep {
		e.Text, e.Height, _ = strings.Cut(line, " at ")
		for _, remark := range []string{" struck ", " note "} {
			if i := strings.Index(e.Height, remark); i >= 0 {
				e.Text, e.Height = e.Text+e.Height[i:], e.Height[:i]
			}
		}
	}
	for _, remark := range []struct {
		word string
		to   *string
	}{{" struck ", &e.Struck}, {" note ", &e.Note}} {
		if before, after, ok := strings.Cut(e.Text, remark.word); ok {
			e.Text, *remark.to = before, after
		}
	}
	return e, nil
}
