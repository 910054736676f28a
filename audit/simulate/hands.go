package simulate

// TrueHand is what is true of one person at the stand.
type TrueHand struct {
	By                string
	Scatters, SitsOff bool
	Needs             string `json:",omitempty"` // direction, sight or touch; empty: nothing
}

const looserBy = 2 // times the steadiest hand's scatter, from which a hand is loose

// Hands are the people at the stand, in the order of their setups: who scatters more
// than the steadiest, and who comes to the lines otherwise than the rest. None
// where only one measured.
func (r Rig) Hands() (hands []TrueHand) {
	place := map[string]int{} // only looked up
	var loosest []float64
	for _, s := range r.Setups {
		i, ok := place[s.By]
		if !ok {
			i = len(hands)
			place[s.By] = i
			hands, loosest = append(hands, TrueHand{By: s.By}), append(loosest, 0)
		}
		loosest[i] = max(loosest[i], float64(s.Hand.ReadSD))
		hands[i].SitsOff = hands[i].SitsOff || s.Hand.WrongSide || s.Hand.Squint != 0
		switch {
		case s.Hand.WrongSide:
			hands[i].Needs = "direction"
		case s.Hand.Squint != 0:
			hands[i].Needs = "sight"
		}
	}
	if len(hands) < 2 {
		return nil
	}
	least := loosest[0]
	for _, sd := range loosest {
		least = min(least, sd)
	}
	for i := range hands {
		hands[i].Scatters = loosest[i] > looserBy*least
		if hands[i].Scatters && hands[i].Needs == "" {
			hands[i].Needs = "touch"
		}
	}
	return hands
}
