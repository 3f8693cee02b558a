package editor

import (
	"maps"
	"path/filepath"
	"sync"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// Workspace is what the server knows at one moment: the open documents and the
// rules. It does not change, so that questions may be answered from it while
// a person types on.
type Workspace struct {
	Client ClientCapabilities
	// Book and Tables are nil until they are loaded, which takes a moment after
	// the server starts.
	Book   *codebook.Codebook
	Tables *table.Set

	allowed   []string             // folders from which jobs may read besides their own
	utf8      bool                 // positions are counted in bytes
	documents map[string]*Document // the open ones, by path
	others    *sync.Map            // lines of files that are not open, by *source.File
	sheets    *sheets
}

// Document is the open document of a URI; nil where none is.
func (w *Workspace) Document(uri string) *Document { return w.documents[pathOf(uri)] }

// At is the open document of a path; nil where none is.
func (w *Workspace) At(path string) *Document { return w.documents[path] }

// newWorkspace has no documents.
func newWorkspace(client ClientCapabilities) *Workspace {
	return &Workspace{Client: client, documents: map[string]*Document{}, others: new(sync.Map)}
}

// open makes a document of a text of the client.
func (w *Workspace) open(uri string, version int, text []byte, before int) *Document {
	return newDocument(uri, pathOf(uri), version, newLines(text, w.utf8, before))
}

// with is the workspace with a document put in.
func (w *Workspace) with(d *Document) *Workspace {
	next := *w
	next.documents, next.others = maps.Clone(w.documents), new(sync.Map)
	next.documents[d.Path] = d
	return &next
}

// without is the workspace with a document closed.
func (w *Workspace) without(path string) *Workspace {
	next := *w
	next.documents, next.others = maps.Clone(w.documents), new(sync.Map)
	delete(next.documents, path)
	return &next
}

// URI is the name of a file as the client gave it, or as it would.
func (w *Workspace) URI(path string) string {
	if d := w.documents[path]; d != nil {
		return d.URI
	}
	return uriOf(path)
}

// Location is where a place stands, in whatever file. A place in an open
// document has to be of its present text.
func (w *Workspace) Location(at source.Span) Location {
	return Location{w.URI(at.File.Name), w.Range(at)}
}

// Range is the stretch of a place, in whatever file.
func (w *Workspace) Range(at source.Span) Range {
	if d := w.documents[at.File.Name]; d != nil && (sameText(d.File, at.File) || d.Mended == at.File) {
		return d.Range(at)
	}
	l, known := w.others.Load(at.File)
	if !known {
		l, _ = w.others.LoadOrStore(at.File, newLines(at.File.Text, w.utf8, 0))
	}
	return l.(*lines).Range(at.Start, at.End)
}

// sameText tells whether two files have one text in memory: a job reads the
// text of an open document, but makes a file of its own of it.
func sameText(a, b *source.File) bool {
	return len(a.Text) == len(b.Text) && (len(a.Text) == 0 || &a.Text[0] == &b.Text[0])
}

// before is the units of the first line that the client counts and the text of
// an open document lacks.
func (w *Workspace) before(path string) int {
	if d := w.documents[path]; d != nil {
		return d.lines.before
	}
	return 0
}

// Read gives the text of a file: of an open one what is typed, of another what
// the disk has.
func (w *Workspace) Read(path string) ([]byte, error) {
	if d := w.documents[path]; d != nil {
		return d.File.Text, nil
	}
	return job.ReadFile(path)
}

// beside reads what a document names: from its folder, those that the client has
// open, and those that are allowed besides.
func (w *Workspace) beside(d *Document) job.Open {
	return job.Confined(append([]string{filepath.Dir(filepath.FromSlash(d.Path))}, w.allowed...), w.Read)
}
