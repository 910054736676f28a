package webserver

import (
	"net/http"
	"strconv"
	"strings"

	"markaudit/audit/guide"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// surePage asks for the second tap of what destroys.
type surePage struct {
	frame
	Headline, Then string
	Buttons        []button
	Reasons        []string // why a reading may be struck, where none was given yet
	Row            int
}

// reasons why a reading is not to be trusted; another one is typed.
var reasons = []string{"hand slipped", "wrong line", "wheel knocked", "misread"}

func showSure(s *server, w http.ResponseWriter, r *http.Request, d *device, what string) {
	s.mu.Lock()
	p := surePage{frame: s.frame("sure")}
	rows, v := s.rec.State().Rows(), s.rec.State().View()
	s.mu.Unlock()
	p.Token = d.form
	switch what {
	case "undo":
		p.Headline = "Take back: " + p.frame.Undo
		p.Then = "What was said of the stop or of the engine is asked again."
		p.Buttons = []button{{Do: "undo", Label: "Take it back"}}
		if p.frame.Undo == "" {
			p.Headline, p.Then, p.Buttons = "Nothing to take back", "A reading from an earlier sitting is struck, with the reason: More, tap its number.", nil
		}
	case "strike":
		n, err := strconv.Atoi(strings.TrimSpace(r.URL.Query().Get("row")))
		why := strings.TrimSpace(r.URL.Query().Get("text"))
		switch {
		case err != nil || n < 1 || n > len(rows):
			p.Headline, p.Then = "No such reading", "Go back and tap its number in the list."
		case rows[n-1].Struck != "":
			p.Headline, p.Then = "Reading "+strconv.Itoa(n)+" is struck already", words.Clean(rows[n-1].Struck)+"."
		case why == "":
			p.Headline = "Why is reading " + strconv.Itoa(n) + " not to be trusted?"
			p.Then = words.Reading(rows[n-1]) + ". The reason stays beside it."
			p.Reasons, p.Row = reasons, n
		default:
			p.Headline = "Strike reading " + strconv.Itoa(n) + "?"
			p.Then = words.Reading(rows[n-1]) + ", setup " + words.Clean(rows[n-1].Setup) + ". Why: " + words.Clean(why) + ". It stays in the file, with the reason, and is not used."
			p.Buttons = []button{{Do: "strike", Text: why, Row: n, Label: "Strike it"}}
		}
	case "newsetup":
		p.Headline, p.Then = "Begin a new setup?", "For when "+takenOff(v.Method)+" taken off and fitted again. What was read before stays."
		p.Buttons = []button{{Do: "new", Label: "Yes, a new setup"}}
	case "knocked":
		p.Headline = "What happened?"
		p.Then = "Each begins a new setup; what was read before stays."
		p.Buttons = knocked(v)
	}
	writePage(w, http.StatusOK, "sure.html", p)
}

// knocked are the ways in which a readout loses its zero, or a stop its place.
func knocked(v guide.View) []button {
	if v.Method == sheet.AtTop {
		return []button{
			{Do: "bumped", Text: guide.Knocked, Label: "The dial was moved, or set to nought"},
			{Do: "bumped", Text: guide.Off, Label: "The dial was taken out"},
		}
	}
	first, turned := "The readout was knocked or moved, or zero was pressed", "The readout was turned on its shaft; stop and crank left alone"
	if v.Sheet.Readout.Kind == sheet.Wheel {
		first, turned = "The wheel was knocked, or zero was pressed", "The wheel was turned on its shaft; stop and crank left alone"
	}
	out := []button{{Do: "bumped", Text: guide.Knocked, Label: first}, {Do: "bumped", Text: guide.Off, Label: "The readout was taken off"}}
	if v.Method == sheet.Stop {
		out = append(out, button{Do: "bumped", Text: guide.Turned, Label: turned}, button{Do: "bumped", Text: guide.Refitted, Label: "The stop was fitted anew; the readout left alone"})
	} else {
		out = append(out, button{Do: "bumped", Text: guide.Refitted, Label: "The indicator was set anew; the readout left alone"})
	}
	return out
}

// takenOff says what may have come off in a setup.
func takenOff(m sheet.Method) string {
	switch m {
	case sheet.Stop:
		return "readout or stop were"
	case sheet.AtTop:
		return "the dial was"
	}
	return "readout or indicator were"
}
