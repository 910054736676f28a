package stats

// Loosest returns the scatter that is larger than that of the others together, at
// significance alpha for all of them, or -1. Each is held against the rest, which is
// Cochran's test for unequal numbers: with equal ones it is the same to the last
// digit of its tables (ISO 5725-2, 7.3.3).
//
//	s_i²/s_rest² > F(ν_i, ν_rest) at alpha/p,   p scatters with a degree of freedom
//
// Of several the one that chance explains least.
func Loosest(each []Scatter, alpha float64) int {
	at, least, tested := -1, 1.0, 0.0
	var all Scatter // squares in place of the variance
	for _, s := range each {
		if s.DOF > 0 {
			all.Variance += s.DOF * s.Variance
			all.DOF += s.DOF
			tested++
		}
	}
	for i, s := range each {
		dof := all.DOF - s.DOF
		if s.DOF == 0 || dof == 0 || s.Variance == 0 {
			continue
		}
		p := 0.0 // against scatters that are nought
		if rest := (all.Variance - s.DOF*s.Variance) / dof; rest > 0 {
			p = FSurvival(s.Variance/rest, s.DOF, dof)
		}
		if p < least {
			at, least = i, p
		}
	}
	if least*tested >= alpha {
		return -1
	}
	return at
}
