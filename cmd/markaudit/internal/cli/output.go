package cli

import (
	"bytes"
	"io"
	"io/fs"

	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/world"
)

// written writes what a command makes of one input to standard output, or to a
// file whole or not at all.
func written(env world.World, output string, compute func(replaced fs.FileInfo) ([]byte, error)) error {
	return into(env, output, func(w io.Writer, replaced fs.FileInfo) error {
		data, err := compute(replaced)
		if err == nil {
			_, err = w.Write(data)
		}
		return err
	})
}

// into writes to a file, whole or not at all, or to standard output where no
// file is named.
func into(env world.World, output string, write func(w io.Writer, replaced fs.FileInfo) error) error {
	if output == "" {
		return write(env.Stdout, nil)
	}
	file, err := atomicwrite.Create(output)
	if err != nil {
		return err
	}
	defer file.Abandon()
	if err := write(file, file.Replaced()); err != nil {
		return err
	}
	return file.Finish()
}

// printed is what a function writes.
func printed(write func(io.Writer) error) ([]byte, error) {
	var out bytes.Buffer
	err := write(&out)
	return out.Bytes(), err
}
