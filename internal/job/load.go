// Package job is the job file: it decodes one submittal with the files that
// it includes, holds it against the schema and the references between its
// parts, and gives it as a typed model in base units that knows for every
// value whether it was given and where it stands. It knows no code.
//
// A job that cannot be read gives every fault at once, as source.Faults in
// the order of file, line and column, and no model.
package job

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/bound"
	"plumbrule/internal/source"
)

// Open gives the bytes of a file beside the job. Its path is the one in the
// job joined to the folder of the file that names it. Of a path that ends in a
// slash it gives the names of the files in that folder, one on each line.
type Open func(path string) ([]byte, error)

// Load reads the job in a file with all files that it names.
func Load(path string) (*Job, error) {
	tree, err := LoadTree(path)
	if err != nil {
		return nil, err
	}
	return tree.Job()
}

// Parse reads a job from its text. name is the name of its file; files that it
// names are read through open, relative to that name.
func Parse(name string, text []byte, open func(path string) ([]byte, error)) (*Job, error) {
	tree, err := Read(name, text, open)
	if err != nil {
		return nil, err
	}
	return tree.Job()
}

// Tree is a job with its includes, decoded but not yet read: what edits apply
// to. It does not change, so many altered jobs may come from one tree.
type Tree struct {
	root   *node
	files  []*source.File
	open   Open
	faults source.Faults // of the whole, such as a value that two files give

	shelf *shelf          // what the folders of equipment hold; nil where it names none
	moved map[string]bool // keys of entries of the shelf that stand in root; see moveIn
}

// LoadTree decodes the job in a file with its includes, wherever those are; it is
// for jobs that the project itself or its user wrote.
func LoadTree(path string) (*Tree, error) {
	path = filepath.ToSlash(path) // names read the same in reports of every system
	text, err := ReadFile(path)
	if err != nil {
		return nil, unreadable(path, err)
	}
	return Read(path, text, ReadFile)
}

// Read decodes a job with its includes.
func Read(name string, text []byte, open func(path string) ([]byte, error)) (*Tree, error) {
	r := &reader{open: open}
	root := r.file(source.NewFile(name, text), nil)
	shelf := r.shelve()
	if r.partial {
		return nil, r.faults.Err()
	}
	return &Tree{root: root, files: r.files, open: open, faults: r.faults, shelf: shelf, moved: map[string]bool{}}, nil
}

// reader decodes files and follows their includes.
type reader struct {
	open    Open
	files   []*source.File
	folders []folder
	faults  source.Faults
	partial bool // a part could not be read: to read the rest as a job would add faults that are none
}

// file decodes one file and merges what it includes. chain holds the files
// that led to it, outermost first.
func (r *reader) file(f *source.File, chain []string) *node {
	r.files = append(r.files, f)
	root, err := decode(f)
	if err != nil {
		r.faults = append(r.faults, err...)
		r.partial = true
		return nil
	}
	root.at = source.Place{Header: f.Start()}
	chain = append(slices.Clone(chain), clean(f.Name))
	r.folder(f, root)
	for _, include := range r.includes(root) {
		if other := r.include(f, include, chain); other != nil {
			r.merge(root, other, "")
		}
	}
	return root
}

const includeKey = "include"

// includes takes the list of includes off the top table.
func (r *reader) includes(root *node) []*node {
	n := root.get(includeKey)
	if n == nil {
		return nil
	}
	delete(root.table, includeKey)
	if !n.isList() {
		r.refuse(n.span(), "include: found "+found(n), `a list of files is expected, such as ["equipment.toml"]`)
		return nil
	}
	return n.list
}

// include reads one included file; nil when it cannot be read or was read
// before.
func (r *reader) include(from *source.File, n *node, chain []string) *node {
	name, ok := n.value.(string)
	if !ok {
		r.refuse(n.span(), "include: found "+found(n), "the name of a file is expected")
		return nil
	}
	path, problem := beside(from, name, ".toml")
	if problem != "" {
		r.refuse(n.span(), fmt.Sprintf("include: %q %s", name, problem), "a TOML file beside the job is expected")
		return nil
	}
	switch {
	case slices.Contains(chain, path):
		r.refuse(n.span(), "include: the files include one another: "+strings.Join(append(chain, path), " > "), "")
		return nil
	case slices.ContainsFunc(r.files, func(f *source.File) bool { return clean(f.Name) == path }):
		return nil
	case len(chain) > bound.IncludeDepth:
		r.refuse(n.span(), fmt.Sprintf("include: more than %d includes stand inside one another", bound.IncludeDepth), "")
		return nil
	case len(r.files) > bound.Includes:
		r.refuse(n.span(), fmt.Sprintf("include: more than %d files are included", bound.Includes), "")
		return nil
	}
	text, err := r.open(path)
	if err != nil {
		r.refuse(n.span(), fmt.Sprintf("include: %q: %s", name, reason(err)), "")
		return nil
	}
	size := len(text)
	for _, f := range r.files {
		size += len(f.Text)
	}
	if size > bound.AllBytes {
		r.refuse(n.span(), fmt.Sprintf("include: %q: with this file the job has more than %d MiB", name, bound.AllBytes>>20), "")
		return nil
	}
	return r.file(source.NewFile(path, text), chain)
}

// merge adds to a table what an included file has: arrays of tables grow,
// tables merge, and a value that stands in both is a fault.
func (r *reader) merge(into, from *node, path string) {
	for _, key := range from.keys() {
		theirs, ours := from.table[key], into.table[key]
		here := source.Key(path, key)
		switch {
		case ours == nil:
			into.table[key] = theirs
		case ours.isTable() && theirs.isTable():
			r.merge(ours, theirs, here)
		case ours.holdsTables() && theirs.holdsTables():
			ours.list = append(ours.list, theirs.list...)
		default:
			key := source.DataPath(here)
			r.faults = append(r.faults, source.Fault{At: theirs.keySpan(), Path: key, Message: key + " is given twice",
				Also: []source.Further{{At: ours.keySpan(), Note: source.FirstHere}}})
		}
	}
}

// refuse notes an include that cannot be read.
func (r *reader) refuse(at source.Span, message, expected string) {
	r.partial = true
	r.add(at, message, expected)
}

func (r *reader) add(at source.Span, message, expected string) {
	r.faults = append(r.faults, source.Fault{At: at, Message: message, Expected: expected})
}

// decode reads one TOML file into nodes with their places.
func decode(f *source.File) (*node, source.Faults) {
	index, err := source.NewIndex(f)
	if err != nil {
		return nil, asFaults(err)
	}
	var top map[string]any
	if err := toml.Unmarshal(f.Text, &top); err != nil {
		return nil, source.Faults{syntaxFault(f, err)}
	}
	if top == nil {
		top = map[string]any{}
	}
	return grow(top, "", index), nil
}

// syntaxFault places an error of the TOML decoder.
func syntaxFault(f *source.File, err error) source.Fault {
	var parse toml.ParseError
	if !errors.As(err, &parse) {
		return source.Fault{At: f.Start(), Message: "not TOML: " + err.Error()}
	}
	start := min(max(parse.Position.Start, 0), len(f.Text))
	end := min(start+max(parse.Position.Len, 0), len(f.Text))
	return source.Fault{At: source.Span{File: f, Start: start, End: end}, Message: "not TOML: " + parse.Message}
}

func asFaults(err error) source.Faults {
	var faults source.Faults
	if errors.As(err, &faults) {
		return faults
	}
	return source.Faults{{Message: err.Error()}}
}

// beside joins the name of a file in a job to the folder of the file that names
// it. It refuses names that do not plainly say what is read.
func beside(from *source.File, name, extension string) (path, problem string) {
	if path, problem = relative(from, name); problem == "" && !strings.EqualFold(filepath.Ext(name), extension) {
		return "", "does not end in " + extension
	}
	return path, problem
}

// relative joins the name of a file or folder to the folder of the file that
// names it. A slash parts folders on every system, so that a job reads the same
// on all of them. Whether it may lead out of that folder is for Confined to say.
func relative(from *source.File, name string) (path, problem string) {
	switch {
	case name == "":
		return "", "is no file name"
	case strings.Contains(name, `\`):
		return "", "has a backslash, and folders are parted by a slash"
	case strings.ContainsAny(name, ":\x00") || strings.HasPrefix(name, "/"):
		return "", "is not a path relative to the file that names it"
	}
	return clean(filepath.Join(filepath.Dir(from.Name), filepath.FromSlash(name))), ""
}

// clean is the one way to write a path, with forward slashes on every system.
func clean(path string) string { return filepath.ToSlash(filepath.Clean(path)) }

// ReadFile reads a regular file within the bounds, or the names of those in a
// folder, as a job and what it names are read. Of a file that is too large it
// gives the beginning.
func ReadFile(path string) ([]byte, error) {
	if strings.HasSuffix(path, "/") {
		return readFolder(path)
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, errors.New("it is a folder, not a file")
	case !info.Mode().IsRegular():
		return nil, errors.New("it is not a regular file")
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	most := int64(bound.FileBytes)
	if isPaper(path) {
		most = bound.PaperBytes
	}
	// One byte beyond the bound is enough to see that the file is too large.
	return io.ReadAll(io.LimitReader(f, most+1))
}

// readFolder lists the names in a folder, without the folders in it.
func readFolder(path string) ([]byte, error) {
	if info, err := os.Stat(filepath.Clean(path)); err == nil && !info.IsDir() {
		return nil, errors.New("it is a file, not a folder")
	}
	entries, err := os.ReadDir(path)
	if err != nil {
		return nil, err
	}
	var names []byte
	for _, e := range entries {
		if !e.IsDir() && !strings.Contains(e.Name(), "\n") {
			names = append(append(names, e.Name()...), '\n')
		}
	}
	return names, nil
}

// reason says why a file could not be read, the same on every system.
func reason(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "the file may not be read"
	}
	return err.Error()
}

func unreadable(path string, err error) error {
	return source.Faults{{At: source.Span{File: &source.File{Name: path}}, Message: reason(err)}}
}
