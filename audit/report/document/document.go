package document

import "markaudit/audit/report/drawing"

// Doc is a report as blocks, in the order of reading.
type Doc []Block

// Block is one of the kinds below.
type Block interface{ block() }

// Heading is the title of a document.
type Heading struct{ Text string }

// Sentence is a paragraph. Lead, when not empty, stands before it in capitals.
type Sentence struct{ Lead, Text string }

// Steps are sentences to be obeyed, numbered.
type Steps struct{ Items []string }

// Table is rows under a header. Right marks the columns that align right.
type Table struct {
	Header []string
	Rows   [][]string
	Right  []bool
	Note   string // a line below, or empty
}

// Space is a blank line.
type Space struct{}

// Figure is a drawing. Terminal and Markdown pass it over: what it shows stands
// in the tables too.
type Figure struct{ Scene drawing.Scene }

// Head is what stands on every sheet of paper, beside its number, so that a loose
// sheet finds its way back: the job, then digests. The first is cut where they are
// too long, the others never. Without it there is the title.
type Head struct{ Parts []string }

// Facts are what a document is of, each with its name; one without a text is left out.
type Facts struct{ Pairs [][2]string }

// NewSheet begins a new sheet of paper. On a screen there is none.
type NewSheet struct{}

// Signature is room on paper for name, date and signature.
type Signature struct{}

func (Heading) block() {}

func (Sentence) block() {}

func (Steps) block() {}

func (Table) block() {}

func (Space) block() {}

func (Figure) block() {}

func (Head) block() {}

func (Facts) block() {}

func (NewSheet) block() {}

func (Signature) block() {}

// Said returns the document with each of its texts as say says it, such as with other
// names. Room to sign stays as it is.
func (d Doc) Said(say func(text string) string) Doc {
	all := func(texts []string) []string {
		out := make([]string, len(texts))
		for i, text := range texts {
			out[i] = say(text)
		}
		return out
	}
	out := make(Doc, len(d))
	for i, block := range d {
		switch x := block.(type) {
		case Heading:
			block = Heading{say(x.Text)}
		case Sentence:
			block = Sentence{x.Lead, say(x.Text)}
		case Steps:
			block = Steps{all(x.Items)}
		case Table:
			rows := make([][]string, len(x.Rows))
			for j, row := range x.Rows {
				rows[j] = all(row)
			}
			x.Header, x.Rows, x.Note = all(x.Header), rows, say(x.Note)
			block = x
		case Figure:
			block = Figure{x.Scene.Said(say)}
		case Head:
			block = Head{all(x.Parts)}
		case Facts:
			pairs := make([][2]string, len(x.Pairs))
			for j, pair := range x.Pairs {
				pairs[j] = [2]string{pair[0], say(pair[1])}
			}
			block = Facts{pairs}
		}
		out[i] = block
	}
	return out
}

// Options says what a document is of, what made it, and how much is wanted.
type Options struct {
	Path     string // of the sheet, as given
	Commit   string // from which the program was built; empty: not known
	Software string // name and version
	Budget   bool   // also the uncertainty table
	Paper    Paper  // of a record; zero: A4
	Scribed  bool   // it was said outside the sheet that its orders are carried out
}
