package webserver

import (
	"encoding/json"
	"net/http"

	"markaudit/audit/guide"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// liveNow is what the page's script is told of a readout that streams.
type liveNow struct {
	Now     string `json:"now"`     // what it shows; empty before the first number
	Ended   bool   `json:"ended"`   // nothing comes any more
	Free    bool   `json:"free"`    // a contact is kept once the engine was turned away from it
	Stood   string `json:"stood"`   // the contact that was turned away from; empty for none yet
	Against bool   `json:"against"` // it moves the other way than the step asks for
}

// showLive tells what the readout shows, and at a contact where the engine was turned
// round. It keeps nothing: the page sends that number as one that was typed, with the
// identity of the step, so it has one effect.
func showLive(s *server, w http.ResponseWriter) {
	var l liveNow
	if s.live != nil {
		l.Now, l.Ended = s.live.Now()
		s.mu.Lock()
		v, id := s.rec.State().View(), s.rec.StepID()
		s.mu.Unlock()
		if step := v.Step; handsFree(v) {
			grows := (step.Approach == sheet.Forward) == (v.Sheet.Readout.Counts == geometry.CountsUp)
			turned := s.live.Turned(id, grows, v.Sheet.Readout.Step)
			l.Free, l.Stood = true, turned.Stood
			l.Against = turned.Against && step.Rests != step.Approach // else it is eased off first
		}
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(l)
}

// handsFree reports whether a contact may be kept without a tap: the first pair of a
// setup was kept by hand, so which way the readout counts is proven.
func handsFree(v guide.View) bool {
	step := v.Step
	contact := step.Kind == guide.Take && (step.Item == "stop" || step.Item == "closing")
	return contact && v.Pairs > 0 && v.Method == sheet.Stop && v.Sheet.Readout.Kind != sheet.Rim
}
