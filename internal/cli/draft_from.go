package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/bound"
	"plumbrule/internal/draft"
	"plumbrule/internal/draft/from"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// filesFlags is what the command line of draft says of files to draft from.
type filesFlags struct {
	files   []string
	unit    string
	layers  []string
	columns []string
}

func (o *filesFlags) add(c *cobra.Command) {
	c.Flags().StringArrayVar(&o.files, "from", nil, "draft from a `FILE`: a schedule (.csv), outlines of planes (.geojson, .dxf); [WORD=]FILE says what a schedule holds (may be given several times)")
	c.Flags().StringVar(&o.unit, "unit", "", "`UNIT` of a .dxf file that names none: ft, in, m, cm or mm")
	c.Flags().StringArrayVar(&o.layers, "layer", nil, "what a layer of a .dxf file holds, as `\"LAYER=plane\"`: "+strings.Join(from.Roles()[:3], ", ")+" or a kind of obstruction")
	c.Flags().StringArrayVar(&o.columns, "column", nil, "the key that a heading of a schedule stands for, as `\"HEADING=KEY\"`; - leaves the column out")
}

// draftFrom makes a draft of files, and of answers for what the files do not
// give. The reading is nil where there are no files.
func draftFrom(a draft.Answers, o *filesFlags, output string) (*draft.Document, *from.Reading, error) {
	if len(o.files) == 0 {
		if o.unit != "" || len(o.layers) > 0 || len(o.columns) > 0 {
			return nil, nil, source.Faults{{Message: "--unit, --layer and --column say how files are read", Expected: "--from FILE is expected beside them"}}
		}
		d, err := draft.New(a)
		return d, nil, err
	}
	options := from.Options{Unit: o.unit, System: quantity.US}
	if a["units"] == "SI" {
		options.System = quantity.SI
	}
	var faults, more source.Faults
	options.Layers, faults = named("--layer", o.layers)
	options.Columns, more = named("--column", o.columns)
	faults = append(faults, more...)
	var files []from.Source
	for _, given := range o.files {
		holds, name := from.Named(given)
		if name == "" {
			faults = append(faults, source.Fault{Message: fmt.Sprintf("--from %q: found no name of a file", given)})
			continue
		}
		f, err := readSource(name)
		if err == nil && same(name, output) {
			err = errors.New("the job cannot be written over a file that it is drafted from")
		}
		if err != nil {
			faults = append(faults, source.Fault{At: source.Span{File: &source.File{Name: name}}, Message: unreadable(err)})
			continue
		}
		files = append(files, from.Source{Holds: holds, File: f})
	}
	if err := faults.Err(); err != nil {
		return nil, nil, err
	}
	read, err := from.Read(files, options)
	faults = faultsOf(err)
	var d *draft.Document
	if _, roof := a["roof"]; roof {
		d, err = draft.New(a)
	} else {
		d, err = draft.Begin(a, strings.TrimSuffix(filepath.Base(output), filepath.Ext(output)))
	}
	if faults = append(faults, faultsOf(err)...); len(faults) > 0 {
		return nil, nil, faults.Err()
	}
	return d, read, read.Into(d, filepath.Dir(output))
}

// named reads flags of the form "NAME=VALUE".
func named(flag string, given []string) (map[string]string, source.Faults) {
	all := map[string]string{}
	var faults source.Faults
	for _, text := range given {
		i := strings.LastIndexByte(text, '=')
		name, value := strings.TrimSpace(text[:max(i, 0)]), strings.TrimSpace(text[i+1:])
		switch _, twice := all[name]; {
		case i < 0 || name == "" || value == "":
			faults = append(faults, source.Fault{Message: fmt.Sprintf("%s %q: found no name with its value", flag, text), Expected: "it is written as " + flag + ` "NAME=VALUE"`})
		case twice:
			faults = append(faults, source.Fault{Message: fmt.Sprintf("%s: %q is given twice", flag, name)})
		}
		all[name] = value
	}
	return all, faults
}

// readSource reads a file to draft from.
func readSource(name string) (*source.File, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errors.New("it is no file")
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, bound.FileBytes+1)) // one more shows that it is too large
	if err != nil {
		return nil, err
	}
	return source.NewFile(filepath.ToSlash(name), text), nil
}

// unreadable says why a file could not be read, without its name.
func unreadable(err error) string {
	var path *os.PathError
	switch {
	case errors.Is(err, os.ErrNotExist):
		return "there is no such file"
	case errors.As(err, &path):
		return path.Err.Error()
	}
	return err.Error()
}
