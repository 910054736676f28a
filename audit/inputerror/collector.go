package inputerror

import (
	"errors"

	"markaudit/geometry"
)

// Collector gathers the faults of a file while it is read.
type Collector struct {
	Positions
	Faults  List
	Faulted map[Path]bool // where a fault was found, or follows from one: no more is said there
	unknown int           // words looked up so far that were not known
}

// NewCollector returns the collector for a file. Name is how errors print it.
func NewCollector(name string) *Collector {
	return &Collector{Positions: NewPositions(name), Faulted: map[Path]bool{}}
}

// Fault adds a fault.
func (c *Collector) Fault(path Path, text, hint string) {
	c.Faults = append(c.Faults, Fault{Path: path, Text: text, Hint: hint})
	c.Faulted[path] = true
}

// FaultAt adds a fault at a place.
func (c *Collector) FaultAt(path Path, at Place, text, hint string) {
	c.Put(path, at)
	c.Fault(path, text, hint)
}

// Refusal adds what a parsing function of geometry says.
func (c *Collector) Refusal(path Path, err error) {
	text, hint := err.Error(), ""
	var refused *geometry.Refusal
	if errors.As(err, &refused) {
		text, hint = refused.Text, refused.Hint
	}
	c.Fault(path, text, hint)
}

// Near returns the known word that was most likely meant, or "". A file with
// hundreds of unknown words is another kind of file, and comparing them all
// would take long: from then on it returns "".
func (c *Collector) Near(word string, known []string) string {
	const most = 200
	if c.unknown++; c.unknown > most {
		return ""
	}
	return Nearest(word, known)
}

// Err returns the faults with their places, or nil.
func (c *Collector) Err() error { return c.Explain(c.Faults) }
