package guide

// Memory is what a sitting leaves to the next beside its rows: what nobody wants
// to be asked twice, and no number. It is kept in a journal; without it those
// questions are asked again.
type Memory struct {
	Stop     string `json:"stop"`               // in, out or not said
	Setup    string `json:"setup"`              // the current one, perhaps without a reading yet
	Mounting string `json:"mounting,omitempty"` // of that setup
	Fitting  string `json:"fitting,omitempty"`
	Cylinder string `json:"cylinder,omitempty"`
	By       string `json:"by,omitempty"`
	Height   string `json:"height,omitempty"` // of drops
	Valves   Said   `json:"valves,omitempty"`
	Backward Said   `json:"backward,omitempty"`
	Clock    string `json:"-"` // when the stop was last spoken of, for the question
}

// recall takes over what an earlier sitting left. The rows count over it.
func recall(s *State, m Memory) {
	s.valves, s.backward = known(m.Valves), known(m.Backward)
	if m.By != "" {
		s.by, _ = oneLine(m.By) // a name too long is no name
	}
	if s.height == "" {
		s.height = m.Height
	}
	if m.Stop == In.String() || m.Stop == Out.String() {
		s.told, s.toldOut = m.Stop, m.Stop == Out.String()
		if m.Clock != "" {
			s.told += ", " + m.Clock
		}
	}
	if m.Setup == "" || m.Setup == s.setup || len(s.of(m.Setup)) > 0 {
		return
	}
	if m.Setup == s.freshSetup() { // begun, and nothing was read in it
		s.begin()
		s.mounting, s.fitting, s.cylinder = m.Mounting, m.Fitting, m.Cylinder
	}
}

func known(s Said) Said {
	switch s {
	case Yes, No, Unsure:
		return s
	}
	return ""
}
