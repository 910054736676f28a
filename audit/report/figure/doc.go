// Package figure turns results into scenes for pages: the part with its lines,
// offsets, contacts, budgets, a readout's error, people, audits over time. Each is a
// function that returns scenes of one width, none higher than a page; many lines are
// spread over several. What is seen is also told: by words in the figure, and by
// the scene's description.
package figure
