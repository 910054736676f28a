// Package paper draws what goes to the engine on paper: strips to be laid round a
// rim, to scribe new lines by, and the form to fill in by hand. A strip is first
// drawn flat (strip.go says what stands on it, scale.go where along it), then put on
// sheets in pieces (pages.go). Lengths are those on the paper, bent round the rim;
// directions are those of the audit's own instructions.
package paper
