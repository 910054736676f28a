package sheet

import (
	"fmt"
	"time"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/sheet/readings"
)

// readReadingsFile reads the file that stands in for the setups of a sheet.
func readReadingsFile(r *reader, n *node, marks []Mark) []Setup {
	path, data, ok := r.attached(n, "the name of a CSV file", "such as readings.csv")
	if !ok {
		return nil
	}
	b := &book{
		r: r, File: csvfile.New(readings.Kind(r.unfinished != nil), r.beside(path), r.Collector),
		marks: make(map[string]bool, len(marks)), setups: map[string]*bookSetup{},
	}
	for _, m := range marks {
		b.marks[m.Name] = true
		b.names = append(b.names, m.Name)
	}
	b.names = append(b.names, "stop", "closing", "drop", "sweep", "top")
	b.Read(data, b.take)
	return b.finished()
}

// book is a readings file while its rows are put into setups.
type book struct {
	*csvfile.File
	r      *reader
	marks  map[string]bool
	names  []string // that an item may have
	setups map[string]*bookSetup
	order  []*bookSetup
}

// bookSetup is a setup with what finds its trials again.
type bookSetup struct {
	Setup
	trials       map[string]int // by name, into Setup.Trials
	closing      string         // name of the trial
	closingTaken bool
	drops        []*droppedPair // in the order of the file
	turned       [2]bool        // a sweep: which ways its points were come to
	method       string         // the item of its first row that finds TDC
}

// take adds the row at hand to its setup.
func (b *book) take() {
	row := readings.At(b.File)
	f := &Reading{Note: row.Note, Time: row.Time, Struck: row.Struck != "", Reason: row.Struck, Text: b.Field("reading"), Path: b.At("reading")}
	f.Approach = ReadApproach(b.File)
	b.r.value(f, row.Reading)
	if u := b.r.unfinished; u != nil {
		u.Rows = append(u.Rows, row)
	}
	if f.Time != "" {
		if _, err := time.Parse(time.RFC3339, f.Time); err != nil {
			b.Fault(b.At("time"), "found "+inputerror.Shown(f.Time)+", expected a time such as 2026-03-14T09:30:00+01:00", "")
		}
	}
	name, item := row.Setup, row.Item
	if name == "" {
		b.Fault(b.At("setup"), "found nothing, expected the name or number of the setup", "")
		return
	}
	s := b.setups[name]
	if s == nil {
		s = &bookSetup{Setup: Setup{Name: name, Path: b.Row(), Marks: map[string][]Reading{}}, trials: map[string]int{}}
		b.PutRow(s.Path, "setup "+name)
		b.setups[name] = s
		b.order = append(b.order, s)
	}
	if s.By == "" {
		s.By = row.By
	}
	b.place(s, row)
	switch {
	case b.r.dial && item == "top":
		s.Top = append(s.Top, *f)
	case b.r.dial && item == "closing":
		if s.ClosingTop != nil {
			b.Fault(f.Path, "found a second closing top in setup "+inputerror.Shown(name)+", expected one", "")
		}
		s.ClosingTop = f
	case b.r.dial && item == "":
		b.Fault(b.At("item"), "found nothing, expected top, closing or the name of a line", "")
	case item == "stop" || item == "closing":
		b.finds(s, "stop")
		b.contact(s, row, f)
	case item == "drop" && row.Side != "":
		b.finds(s, item)
		b.drop(s, row, f)
	case item == "sweep" && row.Height != "":
		b.finds(s, item)
		b.point(s, row, f)
	case b.marks[item]:
		s.Marks[item] = append(s.Marks[item], *f)
	case item == "":
		b.Fault(b.At("item"), "found nothing, expected stop, closing or the name of a line", "")
	case item == "drop":
		b.Fault(b.At("side"), "found nothing, expected before or after", "a drop is read before TDC and after it")
	case item == "sweep":
		b.Fault(b.At("height"), "found nothing, expected what the indicator shows, such as 2.61 mm", "")
	case !b.r.unnamed:
		b.Fault(b.At("item"), "found "+inputerror.Shown(item)+", no line of this name under marks", inputerror.DidYouMean(b.Near(item, b.names)))
	}
}

// ReadApproach reads the column approach of the row at hand. What is neither
// forward nor backward is a fault, and returns zero.
func ReadApproach(f *csvfile.File) Approach {
	switch word := f.Field("approach"); word {
	case "forward":
		return Forward
	case "backward":
		return Backward
	default:
		f.Fault(f.At("approach"), "found "+inputerror.Shown(word)+", expected forward or backward", inputerror.DidYouMean(f.Near(word, []string{"forward", "backward"})))
		return 0
	}
}

// contact adds a contact to its trial.
func (b *book) contact(s *bookSetup, row readings.Row, f *Reading) {
	name, item := row.Trial, row.Item
	if name == "" {
		b.Fault(b.At("trial"), "found nothing, expected the number of the pair that the contact belongs to", "")
		return
	}
	var t *Trial
	if item == "closing" {
		if s.closingTaken && s.closing != name {
			b.Fault(b.At("trial"), "found a second closing pair, "+inputerror.Shown(name)+" after "+inputerror.Shown(s.closing)+", expected one a setup", "")
			return
		}
		if !s.closingTaken {
			s.Closing, s.closing, s.closingTaken = &Trial{}, name, true
		}
		t = s.Closing
	} else {
		i, ok := s.trials[name]
		if !ok {
			i = len(s.Trials)
			s.trials[name], s.Trials = i, append(s.Trials, Trial{})
		}
		t = &s.Trials[i]
	}
	contact := &t.Forward
	switch f.Approach {
	case Forward:
	case Backward:
		contact = &t.Backward
	default:
		return // already a fault
	}
	if *contact != nil {
		b.Fault(f.Path, fmt.Sprintf("found a second %v contact of %s %s in setup %s, expected one", f.Approach, pairWord(item), inputerror.Shown(name), inputerror.Shown(s.Name)),
			"give a pair that was taken again a number of its own")
		return
	}
	*contact = f
}

func pairWord(item string) string {
	if item == "closing" {
		return "closing pair"
	}
	return "trial"
}

func (b *book) finished() []Setup {
	var all []Setup
	for _, s := range b.order {
		b.finishDrops(s)
		b.finishSweep(s)
		if b.r.dial && s.method == "" {
			s.Method = AtTop
		}
		all = append(all, s.Setup)
	}
	return all
}
