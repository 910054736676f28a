package webserver

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"markaudit/audit/questions"
	"markaudit/audit/report/words"
)

// asking is the questions of one job on a page. They need no script: every question
// is a page, and every answer a form. What was answered stands on the sheet alone,
// so any number of devices and an editor can take turns.
type asking struct {
	Base  string // the path of the job, such as /job/1a2b3c4d5e
	Done  string // where measuring begins
	Home  string // where the way back leads from the first question
	Token string // of the device; who calls has checked it before a form comes here
	Load  func() (questions.Interview, error)
	Save  func(before, after []byte) error // refuses with errSheetChanged where the file holds something else than before
}

// errSheetChanged says that a sheet is not as it was when it was read.
var errSheetChanged = errors.New("the sheet was changed meanwhile, by hand or on another device")

// askPage is what the pages of the questions show.
type askPage struct {
	asking
	Title      string
	Q          questions.Question
	Said       string // what was answered last
	Now        string // what the sheet answers already, in a sentence
	Trouble    string
	Doubt      string // why it is asked whether an answer is meant so
	Seen       string // which state of the sheet the page was made from
	Number, Of int    // of the question among those that are due, 0 for none; and of all
	Before     string // the question before this
	Typed      url.Values
	From       string // the page that an answer leads back to
	Ready      bool
	Statements []questions.Statement
	Open       []questions.Question
	More       []questions.Question
	Usual      []usual
	Faults     []string
}

// usual is what a sheet means where it says nothing, with the question that changes
// it.
type usual struct{ Key, Text string }

var usuals = []usual{
	{"confidence", "The ± holds the true value in 95 of 100 cases."},
	{"read-at", "The middle of each line is read."},
	{"marks-refer-to", "TDC is where the piston stands highest."},
	{"placement", "A new line can be placed within 0.2 mm."},
}

// askField is a field of a question's form.
type askField struct {
	ID, Label, Value string
	Number           bool               // digits and a point are enough to answer
	First            bool               // what is typed goes there
	Sides            []questions.Choice // that stand behind it
	Name             string             // of those in the form
	Typed            string             // which of them was pressed
}

// Fields are the fields that a question is answered in.
func (p askPage) Fields() (all []askField) {
	q := p.Q
	add := func(id, label, side string) {
		f := askField{ID: id, Label: label, Value: p.Typed.Get(id), Number: len(q.Units) == 0 && q.Kind == questions.Turn, Name: side}
		if side != "" {
			f.Sides, f.Typed = q.Sides, p.Typed.Get(side)
		}
		all = append(all, f)
	}
	unit := ""
	if q.Example != "" {
		unit = ", such as " + q.Example
	}
	switch {
	case q.Kind == questions.Turn:
		add("text", "It shows now", "side")
		add("text2", "After a quarter turn the way it runs", "side2")
	case q.Kind == questions.Line:
		name := "Its name"
		if q.Key != "lines" {
			name = "Another name, if it is wrong"
		}
		add("name", name, "")
		add("text", "Where it belongs: the number", "side")
	case q.Kind == questions.Type && len(q.Ways) > 0:
		add("text", "The number", "")
	case q.Kind == questions.Type:
		add("text", "Answer"+unit, "")
	case q.Free:
		add("text", "Or type"+unit, "")
	}
	if q.Kind != questions.Choose && len(q.Ways) == 0 {
		all[0].First = true
	}
	if q.Limit {
		add("limit", "± never off by more than, if you know it", "")
	}
	return all
}

// Naming reports whether the question is about a line.
func (p askPage) Naming() bool { return p.Q.Kind == questions.Line }

// DegreesAsUsual reports whether a number without a unit is in degrees.
func (p askPage) DegreesAsUsual() bool { return len(p.Q.Units) > 0 && p.Q.Units[0].Value == "" }

var askPages = template.Must(template.New("").Funcs(template.FuncMap{"picture": picture}).ParseFS(web, "web/ask/ask.html"))

// serve answers for a path below the job's; false where it is none of the
// questions.
func (a asking) serve(w http.ResponseWriter, r *http.Request, rest string) bool {
	key, in := strings.CutPrefix(rest, "/ask/")
	switch {
	case r.Method == http.MethodPost && rest == "/answer":
		a.take(w, r)
		return true
	case rest != "/ask" && !in || r.Method == http.MethodPost:
		return false
	case !in:
		key = ""
	case key == "style.css":
		data, err := web.ReadFile("web/ask/style.css")
		if err != nil {
			panic("markaudit: a part of the program is not there: " + err.Error())
		}
		w.Header().Set("Content-Type", "text/css; charset=utf-8")
		_, _ = w.Write(data)
		return true
	}
	i, err := a.Load()
	if err != nil {
		a.write(w, http.StatusInternalServerError, "check", askPage{asking: a, Title: "The sheet", Faults: strings.Split(err.Error(), "\n")})
		return true
	}
	p := a.page(i, r.URL.Query())
	switch key {
	case "":
		a.goOn(w, r, i, "", r.URL.Query().Get("after"))
	case "check":
		a.showCheck(w, i, p)
	case "more":
		p.More = i.More()
		a.write(w, http.StatusOK, "more", p)
	default:
		q, ok := i.Question(key)
		if !ok {
			http.Redirect(w, r, a.Base+"/ask", http.StatusSeeOther) // a line that is gone
			return true
		}
		p.Q, p.Before, p.Now = q, i.Before(key), i.ReadBack(key)
		p.Number, p.Of = i.Number(key)
		a.write(w, http.StatusOK, "question", p)
	}
	return true
}

func (a asking) page(i questions.Interview, from url.Values) askPage {
	p := askPage{asking: a, Title: i.Title(), Seen: digest(i.Sheet()), Ready: i.Ready(), From: from.Get("from"), Typed: url.Values{}}
	if p.Title == "" {
		p.Title = "New job"
	}
	p.Title = words.Clean(p.Title)
	p.Said = i.ReadBack(from.Get("said"))
	return p
}

func digest(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// goOn leads to the question that follows an answered one, or one that is left open.
func (a asking) goOn(w http.ResponseWriter, r *http.Request, i questions.Interview, answered, left string) {
	q, more := i.Next(answered)
	if left != "" {
		q, more = i.Behind(left)
	}
	to := a.Base + "/ask/check"
	if more {
		to = a.Base + "/ask/" + q.Key
	}
	if answered != "" {
		to += "?said=" + url.QueryEscape(answered)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

func (a asking) showCheck(w http.ResponseWriter, i questions.Interview, p askPage) {
	for _, s := range i.Statements() {
		if !s.Open {
			p.Statements = append(p.Statements, s)
		}
	}
	p.Open = i.Open()
	for _, u := range usuals {
		if q, ok := i.Question(u.Key); ok && q.Now == "" {
			p.Usual = append(p.Usual, u)
		}
	}
	for _, f := range i.Faults() {
		p.Faults = append(p.Faults, words.Clean(strings.TrimPrefix(f.Path.Said()+": "+f.Text, ": ")), words.Clean(f.Hint))
	}
	a.write(w, http.StatusOK, "check", p)
}

// take takes an answer.
func (a asking) take(w http.ResponseWriter, r *http.Request) {
	form := r.PostForm
	i, err := a.Load()
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	key := form.Get("key")
	q, ok := i.Question(key)
	p := a.page(i, form)
	p.Said = ""
	p.Q, p.Before, p.Now, p.Typed = q, i.Before(key), i.ReadBack(key), form
	p.Number, p.Of = i.Number(key)
	again := func(status int, text string) {
		p.Trouble = text
		a.write(w, status, "question", p)
	}
	if !ok {
		http.Redirect(w, r, a.Base+"/ask", http.StatusSeeOther)
		return
	}
	said := saidIn(q, form)
	if left := strings.TrimSpace(form.Get("name") + form.Get("text")); key == linesKey && form.Get("choice") != "" && left != "" {
		again(http.StatusUnprocessableEntity, "A line is typed and not kept yet. Keep it, or empty the fields, and then say that these are all.")
		return
	}
	after, told, err := i.Answer(key, said)
	switch {
	case err == nil && form.Get("seen") != p.Seen && !bytes.Equal(after.Sheet(), i.Sheet()):
		again(http.StatusConflict, fmt.Sprintf("The sheet was changed meanwhile, by hand or on another device. %s was not written. Look at the question again.", orThis(said)))
		return
	case err != nil && key == linesKey && i.Kept(said) != "": // a second tap
		p.Typed, p.Said = url.Values{}, "Already kept. "+i.Kept(said)
		a.write(w, http.StatusOK, "question", p)
		return
	case err != nil && notPressed(q, form) != "":
		again(http.StatusUnprocessableEntity, notPressed(q, form))
		return
	case err != nil:
		again(http.StatusUnprocessableEntity, "Not taken: "+sentenceOf(err))
		return
	case (q.TurnsRound != "" || after.Doubt(key) != "") && form.Get("sure") != "yes" && !bytes.Equal(after.Sheet(), i.Sheet()):
		p.Doubt = after.Doubt(key)
		p.Typed.Set("text", said)
		a.write(w, http.StatusOK, "sure", p)
		return
	}
	switch err := a.Save(i.Sheet(), after.Sheet()); {
	case errors.Is(err, errSheetChanged):
		again(http.StatusConflict, "The sheet was changed meanwhile, by hand or on another device. Nothing was written. Look at the question again.")
		return
	case err != nil:
		again(http.StatusInternalServerError, "NOT kept: "+err.Error()+". Send it again when that is mended.")
		return
	}
	switch {
	case told.Look: // the three are asked again
		all := after.Open()
		first := slices.IndexFunc(all, func(q questions.Question) bool { return q.Look != "" })
		http.Redirect(w, r, a.Base+"/ask/"+all[max(first, 0)].Key, http.StatusSeeOther)
	case q.Rare:
		http.Redirect(w, r, a.Base+"/ask/more?said="+url.QueryEscape(key), http.StatusSeeOther)
	case form.Get("from") == "check":
		http.Redirect(w, r, a.Base+"/ask/check?said="+url.QueryEscape(key), http.StatusSeeOther)
	default:
		a.goOn(w, r, after, key, "")
	}
}

// linesKey is the question that is asked until all lines are named.
const linesKey = "lines"

// notPressed says which choice beside a number is missing or does not fit, where that
// is why it was not taken; empty where all were made.
func notPressed(q questions.Question, form url.Values) string {
	text, unit := strings.TrimSpace(form.Get("text")), form.Get("unit")
	text2 := strings.TrimSpace(form.Get("text2"))
	bare := func(text, side string) bool {
		return text != "" && strings.Trim(text, "0123456789., /±") == "" && form.Get(side) == ""
	}
	switch {
	case form.Get("choice") != "" || text == "":
		return ""
	case len(q.Ways) > 0 && form.Get("way") == "":
		return "Choose how it was measured."
	case strings.Contains(text+text2, "/") && unit != "" && !strings.HasPrefix(unit, "in"):
		return "Fractions are for inches: choose inch."
	case q.Kind == questions.Line && bare(text, "side"):
		return "Choose before or after TDC."
	case q.Kind == questions.Turn && len(q.Sides) > 0 && (bare(text, "side") || bare(text2, "side2")):
		return "Choose BTDC or ATDC for both readings."
	}
	return ""
}

// saidIn joins what a form holds to the answer as it would be typed.
func saidIn(q questions.Question, form url.Values) string {
	text, unit := strings.TrimSpace(form.Get("text")), form.Get("unit")
	if pressed := form.Get("choice"); pressed != "" {
		return pressed
	}
	value := func(text, side string) string {
		if limit := strings.TrimSpace(form.Get("limit")); limit != "" && text != "" {
			text += " ± " + limit
		}
		if text == "" || strings.HasSuffix(text, unit) || strings.ContainsAny(text, "\"") {
			return questions.Compose("", text, "", side)
		}
		return questions.Compose("", text, unit, side)
	}
	switch q.Kind {
	case questions.Turn:
		return value(text, form.Get("side")) + " then " + value(strings.TrimSpace(form.Get("text2")), form.Get("side2"))
	case questions.Line:
		name, place := strings.TrimSpace(form.Get("name")), value(text, form.Get("side"))
		if side := form.Get("side"); side == "TDC" || side == "BDC" {
			place = questions.Compose("", text, "", side)
		}
		if name == "" || place == "" {
			return name + place
		}
		return name + " at " + place
	}
	if text == "" {
		return ""
	}
	return questions.Compose(form.Get("way"), value(text, form.Get("side")), "", "")
}

// sentenceOf is an error with its hint as sentences.
func sentenceOf(err error) string {
	text, hint, ok := strings.Cut(err.Error(), "\n  hint: ")
	if !ok {
		return words.Clean(text) + "."
	}
	return words.Clean(text) + ". " + words.Clean(hint) + "."
}

func (a asking) write(w http.ResponseWriter, status int, name string, p askPage) {
	var b bytes.Buffer
	if err := askPages.ExecuteTemplate(&b, name, p); err != nil {
		http.Error(w, "a fault of markaudit, please report it: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes())
}
