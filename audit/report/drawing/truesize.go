package drawing

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
)

// TrueSizePDF is [PDF] with the wish, for whoever prints it, that nothing is fitted
// to the page. Not every printing dialogue heeds it.
func TrueSizePDF(w io.Writer, title string, pages []Scene) error {
	var b bytes.Buffer
	if err := PDF(&b, title, pages); err != nil {
		return err
	}
	update, err := printScalingNone(b.Bytes())
	if err != nil {
		return err
	}
	_, err = w.Write(append(b.Bytes(), update...))
	return err
}

var (
	pdfRoot  = regexp.MustCompile(`/Root (\d+) 0 R`)
	pdfStart = regexp.MustCompile(`startxref\s+(\d+)\s+%%EOF\s*$`)
)

// printScalingNone returns what is to follow a PDF so that its catalogue asks for
// true size: an incremental update (ISO 32000-1, 7.5.6) with the catalogue again,
// and in it the viewer preference PrintScaling (12.2, since PDF 1.6). The PDF library
// has no viewer preferences. What is not found in the file is an error: a wish that is
// silently missing would let a printer shrink the page.
func printScalingNone(pdf []byte) ([]byte, error) {
	at := bytes.LastIndex(pdf, []byte("\ntrailer\n<<\n"))
	start := pdfStart.FindSubmatch(pdf)
	if at < 0 || start == nil {
		return nil, errors.New("the PDF has no trailer, expected one to ask for print at true size")
	}
	trailer, _, closed := bytes.Cut(pdf[at+len("\ntrailer\n<<\n"):], []byte("\n>>\nstartxref"))
	root := pdfRoot.FindSubmatch(trailer)
	if !closed || root == nil {
		return nil, errors.New("the PDF's trailer names no catalogue, expected one to ask for print at true size")
	}
	head := fmt.Appendf(nil, "\n%s 0 obj\n<<\n", root[1])
	_, rest, found := bytes.Cut(pdf, head)
	catalogue, _, ended := bytes.Cut(rest, []byte("\n>>\nendobj"))
	if !found || !ended {
		return nil, errors.New("the PDF has no catalogue, expected one to ask for print at true size")
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s%s\n/Version /1.6\n/ViewerPreferences <</PrintScaling /None>>\n>>\nendobj\n", head[1:], catalogue)
	table := len(pdf) + b.Len()
	fmt.Fprintf(&b, "xref\n%s 1\n%010d 00000 n \ntrailer\n<<\n%s\n/Prev %s\n>>\nstartxref\n%s\n%%%%EOF\n", root[1], len(pdf), trailer, start[1], strconv.Itoa(table))
	return b.Bytes(), nil
}
