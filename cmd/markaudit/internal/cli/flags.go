package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"markaudit/audit/inputerror"
	"markaudit/cmd/markaudit/internal/phrase"
)

// takesNumbers marks a command of which an argument may begin with a minus.
const takesNumbers = "takes numbers"

// withoutMinus writes the minus of a number as U+2212, which every number on a
// sheet may have too, so that -2.5 is not taken for an option.
func withoutMinus(root *cobra.Command, args []string) []string {
	c, _, err := root.Find(args)
	if err != nil || c.Annotations[takesNumbers] == "" {
		return args
	}
	args = slices.Clone(args)
	value := false // the argument belongs to the option before it
	for i, a := range args {
		switch name, isFlag := strings.CutPrefix(a, "--"); {
		case a == "--":
			return args
		case value:
			value = false
		case isFlag:
			f := c.Flags().Lookup(name) // none with "=" in it
			value = f != nil && f.NoOptDefVal == ""
		case len(a) > 1 && a[0] == '-' && strings.ContainsAny(a[1:2], "0123456789."):
			args[i] = "−" + a[1:]
		}
	}
	return args
}

func noArguments(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return bad(c, "found %s, expected nothing after %s", phrase.Shown(args[0]), c.CommandPath())
	}
	return nil
}

func knownCommand(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	c.SuggestionsMinimumDistance = 2
	if near := c.SuggestionsFor(args[0]); len(near) > 0 {
		return fmt.Errorf("found %s, which is no command\n  hint: did you mean %s?", phrase.Shown(args[0]), near[0])
	}
	return fmt.Errorf("found %s, which is no command\n  hint: `markaudit help` lists them", phrase.Shown(args[0]))
}

// badFlag says in our words what the flag parser found.
func badFlag(c *cobra.Command, err error) error {
	var (
		unknown *pflag.NotExistError
		empty   *pflag.ValueRequiredError
		invalid *pflag.InvalidValueError
	)
	switch {
	case errors.As(err, &unknown):
		dashes := "--"
		if unknown.GetSpecifiedShortnames() != "" {
			dashes = "-"
		}
		return bad(c, "found %s%s, which is no option of %s", dashes, phrase.Shown(unknown.GetSpecifiedName()), c.CommandPath())
	case errors.As(err, &empty):
		return bad(c, "found --%s without what belongs after it", empty.GetSpecifiedName())
	case errors.As(err, &invalid) && invalid.GetFlag().Value.Type() == "bool":
		return bad(c, "--%s: found %s, expected it alone, or true or false", invalid.GetFlag().Name, phrase.Shown(invalid.GetValue()))
	case errors.As(err, &invalid) && invalid.GetFlag().Value.Type() == "uint64":
		return bad(c, "--%s: found %s, expected a whole number, zero or more", invalid.GetFlag().Name, phrase.Shown(invalid.GetValue()))
	case errors.As(err, &invalid) && len(wordsOf(invalid.GetFlag())) > 0:
		flag := invalid.GetFlag()
		return bad(c, "--%s: %v\n  hint: such as --%s %s", flag.Name, invalid.Unwrap(), flag.Name, quoted(wordsOf(flag)[0]))
	case errors.As(err, &invalid):
		return bad(c, "--%s: %v", invalid.GetFlag().Name, invalid.Unwrap())
	}
	return bad(c, "%s", inputerror.Visible(err.Error()))
}

// wordsOf are the words of a choice; nil for another flag.
func wordsOf(f *pflag.Flag) []string {
	if c, ok := f.Value.(*choice); ok {
		return c.words
	}
	return nil
}

// quoted is a word as it is typed in a call.
func quoted(word string) string {
	if strings.Contains(word, " ") {
		return `"` + word + `"`
	}
	return word
}

// choice is a flag that takes one of a few words.
type choice struct {
	word  string
	words []string
}

// choose adds a choice to a command.
func choose(c *cobra.Command, name, fallback, usage string, words ...string) *choice {
	f := &choice{fallback, words}
	c.Flags().Var(f, name, usage)
	// The only error is that of a flag which does not exist.
	_ = c.RegisterFlagCompletionFunc(name, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
	return f
}

func (f *choice) String() string { return f.word }
func (f *choice) Type() string   { return strings.Join(f.words, "|") }

func (f *choice) Set(word string) error {
	if !slices.Contains(f.words, word) {
		return fmt.Errorf("found %s, expected %s", phrase.Shown(word), phrase.OneOf(f.words))
	}
	f.word = word
	return nil
}

// fileName is a flag that names a file or folder.
type fileName string

func (f *fileName) String() string { return string(*f) }
func (f *fileName) Type() string   { return "FILE" }

func (f *fileName) Set(name string) error {
	if name == "" {
		return errors.New("found nothing, expected a name")
	}
	*f = fileName(name)
	return nil
}

// outputName is the name of a file to write.
type outputName string

func (o *outputName) String() string { return string(*o) }
func (o *outputName) Type() string   { return "FILE" }

func (o *outputName) Set(name string) error {
	if name == "-" {
		return errors.New("found -, expected the name of a file; without --output it goes to standard output")
	}
	return (*fileName)(o).Set(name)
}

// quantity is a flag read as the values of a sheet are.
type quantity[T any] struct {
	value T
	text  string
	parse func(string) (T, error)
}

func (q *quantity[T]) String() string { return q.text }
func (q *quantity[T]) Type() string   { return "value" }

func (q *quantity[T]) Set(text string) (err error) {
	if q.value, err = q.parse(text); err != nil {
		return err
	}
	q.text = text
	return nil
}

// flagged adds a quantity to a command.
func flagged[T any](c *cobra.Command, name, usage string, parse func(string) (T, error)) *quantity[T] {
	q := &quantity[T]{parse: parse}
	c.Flags().Var(q, name, usage)
	return q
}

// given reports whether the flag was used.
func (q *quantity[T]) given() bool { return q.text != "" }
