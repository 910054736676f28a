package lesson

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/jobrecord"
	"markaudit/audit/repeatability"
	"markaudit/audit/report/export"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

// The files of the class of a folder: who measures what, and the values, which
// `markaudit repeat` reads as they are.
const (
	ClassFile  = "class.json"
	ValuesFile = "class.csv"
)

// The most of a class: beyond that nobody walks round an engine.
const (
	mostPeople = 60
	mostLines  = 30
	mostTimes  = 20
	mostName   = 40
)

// Class is a class that measures the same lines, one apprentice a device. A device is
// kept as a hash of what tells it from others.
type Class struct {
	Format int      `json:"format"`
	Lines  []string `json:"lines"`
	Times  int      `json:"times"`
	People []Person `json:"people"`

	values []repeatability.Value // in the order in which they were entered
	env    world.World
	folder string
}

// Person is one of them.
type Person struct {
	Name   string `json:"name"`
	Device string `json:"device"`
}

// Hashed is how a device is kept.
func Hashed(device string) string {
	sum := sha256.Sum256([]byte(device))
	return hex.EncodeToString(sum[:8])
}

// NewClass begins the class of a folder. The error says what is wrong with the lines
// or the times.
func NewClass(env world.World, folder, lines, times string) (*Class, error) {
	c := &Class{Format: 1, env: env, folder: folder}
	for name := range strings.SplitSeq(lines, ",") {
		if name = strings.TrimSpace(name); name != "" && !slices.Contains(c.Lines, name) {
			c.Lines = append(c.Lines, name)
		}
	}
	for _, name := range c.Lines {
		if err := plainName(name, "a line"); err != nil {
			return nil, err
		}
	}
	var err error
	c.Times, err = strconv.Atoi(strings.TrimSpace(times))
	switch {
	case len(c.Lines) == 0 || len(c.Lines) > mostLines:
		return nil, fmt.Errorf("found %s, expected 1 to %d, with a comma between them, such as T, 10 BTDC", inputerror.Count(len(c.Lines), "line"), mostLines)
	case err != nil || c.Times < 1 || c.Times > mostTimes:
		return nil, fmt.Errorf("found %s times, expected 1 to %d: how often everybody measures every line", inputerror.Shown(times), mostTimes)
	}
	path := filepath.Join(folder, ValuesFile)
	if err := env.Allowed(path); err != nil {
		return nil, err
	}
	if err := atomicwrite.WriteNew(path, export.CSV{}.Form(valueColumns, nil)); err != nil {
		return nil, err
	}
	return c, c.save()
}

var valueColumns = []string{"by", "mark", "value", "trial"}

func plainName(name, what string) error {
	if name == "" || utf8.RuneCountInString(name) > mostName || strings.IndexFunc(name, inputerror.Invisible) >= 0 {
		return fmt.Errorf("found %s, expected the name of %s, up to %d letters", inputerror.Shown(name), what, mostName)
	}
	return nil
}

// OpenClass reads the class of a folder; nil where there is none.
func OpenClass(env world.World, folder string) (*Class, error) {
	data, err := env.Read(filepath.Join(folder, ClassFile), 1<<20, nil)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	}
	c := &Class{env: env, folder: folder}
	if err := json.Unmarshal(data, c); err != nil || c.Format != 1 || len(c.Lines) == 0 || c.Times < 1 {
		return nil, fmt.Errorf("%s: found no class, expected what the page wrote", ClassFile)
	}
	values, err := env.Read(filepath.Join(folder, ValuesFile), csvfile.MostBytes, nil)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", ValuesFile, err)
	}
	if len(strings.Split(strings.TrimSpace(string(values)), "\n")) > 1 { // else the header alone
		d, err := repeatability.ReadStudy(ValuesFile, values)
		if err != nil {
			return nil, err
		}
		c.values = d.Values
	}
	return c, nil
}

func (c *Class) save() error {
	data, err := json.MarshalIndent(c, "", "  ")
	if err != nil {
		return err
	}
	return c.replace(ClassFile, append(data, '\n'))
}

// replace writes one of the files of the class, nothing outside its folder.
func (c *Class) replace(file string, data []byte) error {
	path := filepath.Join(c.folder, file)
	if err := c.env.Allowed(path); err != nil {
		return err
	}
	return atomicwrite.Replace(path, data)
}

// Whose is who sits at a device; empty: nobody yet.
func (c *Class) Whose(device string) string {
	for _, p := range c.People {
		if p.Device == Hashed(device) {
			return p.Name
		}
	}
	return ""
}

// Join lets a device stand for one person. A name belongs to one device.
func (c *Class) Join(device, name string) error {
	name = strings.Join(strings.Fields(name), " ")
	if err := plainName(name, "a person"); err != nil {
		return err
	}
	if c.Whose(device) != "" {
		return fmt.Errorf("this device is that of %s already", inputerror.Visible(c.Whose(device)))
	}
	if len(c.People) >= mostPeople {
		return fmt.Errorf("found more than %d people, expected a class", mostPeople)
	}
	for _, p := range c.People {
		if strings.EqualFold(p.Name, name) {
			return fmt.Errorf("%s sits at another device. Two of one name add a letter; on another device ask the instructor", inputerror.Visible(p.Name))
		}
	}
	c.People = append(c.People, Person{name, Hashed(device)})
	return c.save()
}

// Own are the values of a person, in the order in which they were entered.
func (c *Class) Own(name string) (own []repeatability.Value) {
	for _, v := range c.values {
		if v.By == name {
			own = append(own, v)
		}
	}
	return own
}

// Next is what a person measures next: round after round, the lines in another order
// in each. It reports false where all is measured.
func (c *Class) Next(name string) (line string, round int, more bool) {
	n := len(c.Own(name))
	if n >= len(c.Lines)*c.Times {
		return "", 0, false
	}
	round = n / len(c.Lines)
	return c.Lines[(n%len(c.Lines)+round)%len(c.Lines)], round + 1, true
}

// Keep writes down a value: how far off the next line was found, such as 0.5 late.
func (c *Class) Keep(name, text string) error {
	line, round, more := c.Next(name)
	if !more {
		return errors.New("all is measured: nothing is kept")
	}
	off, err := geometry.ParseOffBy(text)
	if err != nil {
		return err
	}
	if off.Abs() > 180 {
		return fmt.Errorf("found %s, expected at most half a turn, such as 0.5 late", inputerror.Shown(text))
	}
	c.values = append(c.values, repeatability.Value{By: name, Mark: line, Value: off, Trial: round})
	return c.saveValues()
}

// TakeBack takes back the last value of a person.
func (c *Class) TakeBack(name string) error {
	for i := len(c.values) - 1; i >= 0; i-- {
		if c.values[i].By == name {
			c.values = slices.Delete(c.values, i, i+1)
			return c.saveValues()
		}
	}
	return errors.New("nothing is written down yet")
}

func (c *Class) saveValues() error {
	var rows [][]string
	for _, v := range c.values {
		rows = append(rows, []string{v.By, v.Mark, strconv.FormatFloat(v.Value.Degrees(), 'f', -1, 64), strconv.Itoa(v.Trial)})
	}
	return c.replace(ValuesFile, []byte(export.CSV{}.NumberedForm(valueColumns, rows, 2)))
}

// Study is what all values tell together; false before two people measured something
// twice.
func (c *Class) Study() (repeatability.Result, bool) {
	twice := 0
	for _, p := range c.People {
		if len(c.Own(p.Name)) > 1 {
			twice++
		}
	}
	if twice < 2 {
		return repeatability.Result{}, false
	}
	return repeatability.Analyse(repeatability.Data{Values: c.values}, repeatability.PoolAuto), true
}

// Record is what a tool room files with the study of a class.
func (c *Class) Record(software string, study repeatability.Result) (jobrecord.Record, error) {
	values, err := c.env.Read(filepath.Join(c.folder, ValuesFile), csvfile.MostBytes, nil)
	if err != nil {
		return jobrecord.Record{}, fmt.Errorf("%s: %w", ValuesFile, err)
	}
	return jobrecord.Record{
		Files: []jobrecord.File{jobrecord.FileOf(ValuesFile, values)}, Software: software, Rule: jobrecord.PeopleRule, Readings: study.Data.Readings(study.Slips),
	}, nil
}
