package jobrecord

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"markaudit/audit/inputerror"
)

// keys of a record file, and of an instrument in it.
var (
	recordKeys     = []string{"instruments", "conditions", "by", "date", "rule", "revision"}
	instrumentKeys = []string{"role", "name", "number", "certificate", "due"}
)

const mostBytes = 1 << 20

// Read reads what a record file says of a job: instruments, conditions, by, date,
// rule and revision. name is how errors print the file. The error, if any, says
// line, key and what was expected.
func Read(name string, data []byte) (Record, error) {
	var r Record
	text, bad := inputerror.PlainText(data, "record file", mostBytes)
	if bad != nil {
		return r, fmt.Errorf("%s: %s", inputerror.Shown(name), bad.Text)
	}
	var file yaml.Node
	if err := yaml.Unmarshal([]byte(text), &file); err != nil {
		return r, fmt.Errorf("%s: %s", inputerror.Shown(name), strings.TrimPrefix(err.Error(), "yaml: "))
	}
	f := reader{name: name}
	if len(file.Content) == 0 {
		return r, fmt.Errorf("%s: the file is empty, expected keys such as by: and date: in it", inputerror.Shown(name))
	}
	f.mapping(file.Content[0], recordKeys, func(key string, value *yaml.Node) {
		switch key {
		case "instruments":
			r.Instruments = f.instruments(value)
		case "conditions":
			r.Conditions = f.text(key, value)
		case "by":
			r.By = f.text(key, value)
		case "date":
			r.Date = f.day(key, value)
		case "rule":
			r.Rule = f.text(key, value)
		case "revision":
			r.Revision = f.text(key, value)
		}
	})
	return r, f.err()
}

// reader gathers what is wrong with a file.
type reader struct {
	name   string
	faults []string
}

func (f *reader) err() error {
	if len(f.faults) == 0 {
		return nil
	}
	return fmt.Errorf("%s", strings.Join(f.faults, "\n"))
}

func (f *reader) fault(at *yaml.Node, format string, args ...any) {
	f.faults = append(f.faults, fmt.Sprintf("%s:%d:%d: ", inputerror.Visible(f.name), at.Line, at.Column)+fmt.Sprintf(format, args...))
}

func (f *reader) mapping(node *yaml.Node, keys []string, take func(key string, value *yaml.Node)) {
	if node.Kind != yaml.MappingNode {
		f.fault(node, "found no keys, expected %s", strings.Join(keys, ", "))
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(node.Content); i += 2 {
		key, value := node.Content[i], node.Content[i+1]
		switch {
		case !slices.Contains(keys, key.Value):
			f.fault(key, "found the unknown key %s, expected one of %s", inputerror.Shown(key.Value), strings.Join(keys, ", "))
		case seen[key.Value]:
			f.fault(key, "found the key %s a second time", key.Value)
		default:
			seen[key.Value] = true
			take(key.Value, value)
		}
	}
}

func (f *reader) text(key string, value *yaml.Node) string {
	if value.Kind != yaml.ScalarNode {
		f.fault(value, "%s: found a list or keys, expected a text", key)
		return ""
	}
	return strings.TrimSpace(value.Value)
}

func (f *reader) day(key string, value *yaml.Node) string {
	text := f.text(key, value)
	if _, err := time.Parse(time.DateOnly, text); err != nil && text != "" {
		f.fault(value, "%s: found %s, expected a day that there is, such as 2026-03-14", key, inputerror.Shown(text))
	}
	return text
}

func (f *reader) instruments(list *yaml.Node) (out []Instrument) {
	if list.Kind != yaml.SequenceNode {
		f.fault(list, "instruments: found no list, expected one, such as - {role: wheel, name: wheel 4}")
		return nil
	}
	for _, node := range list.Content {
		var i Instrument
		f.mapping(node, instrumentKeys, func(key string, value *yaml.Node) {
			switch key {
			case "role":
				i.Role = f.text(key, value)
			case "name":
				i.Name = f.text(key, value)
			case "number":
				i.Number = f.text(key, value)
			case "certificate":
				i.Certificate = f.text(key, value)
			case "due":
				i.Due = f.day(key, value)
			}
		})
		out = append(out, i)
	}
	return out
}

// Named adds what a flag names of an instrument to the one of that role, or as one
// of its own. An empty name adds nothing.
func (r *Record) Named(role, name string) {
	if name == "" {
		return
	}
	for i := range r.Instruments {
		if r.Instruments[i].Role == role {
			r.Instruments[i].Name = name
			return
		}
	}
	r.Instruments = append(r.Instruments, Instrument{Role: role, Name: name})
}

// Carry fills in what the record leaves open of the instrument of a role: its number,
// its certificate and the end of that, as an earlier record has them.
func (r *Record) Carry(role string, from Instrument) {
	for i := range r.Instruments {
		if x := &r.Instruments[i]; x.Role == role && x.Name == from.Name && x.Number == "" && x.Certificate == "" && x.Due == "" {
			x.Number, x.Certificate, x.Due = from.Number, from.Certificate, from.Due
		}
	}
}
