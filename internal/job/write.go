package job

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/source"
)

// Expanded writes the job in full, as TOML that reads back to the same job: its
// includes put in, its patterns written out. Names of CSV files are those to be
// used beside the job. The error is that of reading the job, or that a pattern lacks
// what it needs, without which the full job could not be told from another.
func (t *Tree) Expanded() ([]byte, error) {
	if _, err := t.Job(); err != nil {
		return nil, err
	}
	whole := t.expand()
	var faults source.Faults
	for key, l := range whole.lacks {
		faults = append(faults, source.Fault{At: l.pattern, Path: key, Message: key + " cannot be written out", Expected: l.key + " is needed, which the job leaves out"})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	w := writer{folder: filepath.Dir(t.files[0].Name)}
	w.table(Model(), whole.root, "")
	return bytes.TrimLeft(w.text.Bytes(), "\n"), w.err
}

type writer struct {
	folder string // of the job
	text   bytes.Buffer
	err    error
}

// table writes the values of a table, then the tables below it, in the order of
// the model.
func (w *writer) table(t *Table, n *node, path string) {
	below := func(f *Field, child *node) bool { return f.Table != nil && (child.isTable() || len(child.list) > 0) }
	for _, f := range t.Fields {
		if child := n.get(f.Key); child != nil && !below(f, child) {
			w.value(f, child)
		}
	}
	for _, f := range t.Fields {
		child, here := n.get(f.Key), source.Key(path, f.Key)
		switch {
		case child == nil || !below(f, child):
		case child.isTable():
			fmt.Fprintf(&w.text, "\n[%s]\n", here)
			w.table(f.Table, child, here)
		default:
			for _, element := range child.list {
				fmt.Fprintf(&w.text, "\n[[%s]]\n", here)
				w.table(f.Table, element, here)
			}
		}
	}
}

func (w *writer) value(f *Field, n *node) {
	if day, ok := n.value.(time.Time); ok {
		text := n.at.Value.Text() // as it was written: a day alone, or with an hour
		if text == "" {
			text = day.Format(time.RFC3339)
		}
		fmt.Fprintf(&w.text, "%s = %s\n", source.Key("", f.Key), text)
		return
	}
	value := n.raw()
	if f.Key == "file" {
		value = w.beside(n)
	}
	if err := toml.NewEncoder(&w.text).Encode(map[string]any{f.Key: value}); err != nil && w.err == nil {
		w.err = err
	}
}

// beside is the name of a file as the job would give it; the one that is
// written may stand in an include of another folder.
func (w *writer) beside(n *node) any {
	name, ok := n.text()
	if !ok || n.at.Value.File == nil || strings.TrimSpace(name) == "" {
		return n.raw()
	}
	path, err := filepath.Rel(w.folder, filepath.Join(filepath.Dir(n.at.Value.File.Name), filepath.FromSlash(name)))
	if err != nil {
		return name
	}
	return filepath.ToSlash(path)
}

// raw is the node as the TOML decoder gave it.
func (n *node) raw() any {
	switch {
	case n.isTable():
		m := make(map[string]any, len(n.table))
		for key, child := range n.table {
			m[key] = child.raw()
		}
		return m
	case n.isList():
		list := make([]any, len(n.list))
		for i, element := range n.list {
			list[i] = element.raw()
		}
		return list
	}
	return n.value
}
