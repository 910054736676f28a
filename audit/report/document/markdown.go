package document

import (
	"fmt"
	"io"
	"strings"
)

// Markdown writes a document as Markdown (CommonMark with tables).
func Markdown(w io.Writer, d Doc) error {
	var b strings.Builder
	for _, block := range d {
		switch x := block.(type) {
		case Heading:
			fmt.Fprintf(&b, "# %s\n\n", escape(x.Text))
		case Sentence:
			if x.Lead != "" {
				fmt.Fprintf(&b, "## %s\n\n", escape(x.Lead[:1]+strings.ToLower(x.Lead[1:])))
			}
			if x.Text != "" {
				fmt.Fprintf(&b, "%s\n\n", escape(x.Text))
			}
		case Steps:
			for i, item := range x.Items {
				fmt.Fprintf(&b, "%d. %s\n", i+1, escape(item))
			}
			b.WriteByte('\n')
		case Table:
			e := Table{Header: escapeAll(x.Header), Right: x.Right}
			for _, row := range x.Rows {
				e.Rows = append(e.Rows, escapeAll(row))
			}
			t, err := markdownTable(e)
			if err != nil {
				return err
			}
			b.WriteString(t + "\n")
			if x.Note != "" {
				fmt.Fprintf(&b, "%s\n\n", escape(x.Note))
			}
		}
	}
	_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
	return err
}

var markup = strings.NewReplacer(
	`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", "&lt;", ">", "&gt;", "|", `\|`, "#", `\#`, "~", `\~`, "&", "&amp;",
)

// escape keeps names from being read as markup.
func escape(s string) string { return markup.Replace(s) }

func escapeAll(cells []string) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = escape(c)
	}
	return out
}
