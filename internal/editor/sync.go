package editor

import (
	"encoding/json"
	"maps"
	"slices"

	"github.com/sourcegraph/jsonrpc2"

	"plumbrule/internal/source"
)

// didOpen takes a file over from the disk.
func (s *server) didOpen(raw json.RawMessage) error {
	var params DidOpen
	if err := decode(raw, &params); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	t := params.TextDocument
	text, before := withoutMark([]byte(t.Text), s.workspace.utf8)
	s.replace(s.workspace.open(t.URI, t.Version, text, before))
	return nil
}

// didChange takes over what was typed.
func (s *server) didChange(raw json.RawMessage) error {
	var params DidChange
	if err := decode(raw, &params); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	t := params.TextDocument
	d := s.workspace.Document(t.URI)
	if d == nil {
		return refuse(jsonrpc2.CodeInvalidParams, "%q is not open", t.URI)
	}
	text, before := changed(d.lines.text, params.ContentChanges, s.workspace.utf8, d.lines.before)
	s.replace(s.workspace.open(d.URI, t.Version, text, before))
	return nil
}

// didClose gives a file back to the disk.
func (s *server) didClose(raw json.RawMessage) error {
	var params InDocument
	if err := decode(raw, &params); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.workspace.Document(params.uri())
	if d == nil {
		return refuse(jsonrpc2.CodeInvalidParams, "%q is not open", params.uri())
	}
	roles, shown := s.roles(), append(s.shownBy(d.Path), d.Path)
	s.workspace = s.workspace.without(d.Path)
	delete(s.roots, d.Path)
	s.publish(append(shown, s.recast(roles)...))
	s.ask(d.Path)
	return nil
}

// filesChanged reviews again whatever is open: a file on the disk that a job
// names has changed.
func (s *server) filesChanged(json.RawMessage) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, path := range slices.Sorted(maps.Keys(s.workspace.documents)) {
		s.enqueue(path)
	}
	return nil
}

// replace puts a document in the place of its earlier version. Why it is no
// TOML is shown at once; everything else waits for a review.
func (s *server) replace(d *Document) {
	if was := s.workspace.At(d.Path); was != nil {
		d.Job, d.Review, d.Old = was.Job, was.Review, was.Job != nil
	}
	s.workspace = s.workspace.with(d)
	for from, r := range s.roots {
		if other := s.workspace.At(from); from != d.Path && r.read[d.Path] && other.Job != nil {
			next := *other
			next.Old = true
			s.workspace = s.workspace.with(&next)
		}
	}
	if d.Syntax != nil {
		s.publish([]string{d.Path})
	}
	s.ask(d.Path)
}

// ask has everything reviewed that reads a file.
func (s *server) ask(path string) {
	s.enqueue(path)
	for _, other := range slices.Sorted(maps.Keys(s.roots)) {
		if s.roots[other].read[path] {
			s.enqueue(other)
		}
	}
}

// enqueue asks for a review of an open document, once.
func (s *server) enqueue(path string) {
	if s.workspace.At(path) != nil && !slices.Contains(s.waiting, path) {
		s.waiting = append(s.waiting, path)
		signal(s.wake)
	}
}

// root is what was found from an open document.
type root struct {
	read  map[string]bool         // the file and those that it names, by path
	found diagnostics             // in them
	texts map[string]*source.File // those of them that were open, as they were
}

// shownBy lists the files in which something is shown from an open document.
func (s *server) shownBy(path string) []string {
	if r := s.roots[path]; r != nil {
		return slices.Collect(maps.Keys(r.found))
	}
	return nil
}

// publish sends what is to be shown of files where that differs from what is
// shown.
func (s *server) publish(files []string) {
	slices.Sort(files)
	for _, path := range slices.Compact(files) {
		list, ready := s.toShow(path)
		if !ready {
			continue
		}
		p := PublishDiagnostics{URI: s.workspace.URI(path), Diagnostics: list}
		d := s.workspace.At(path)
		if d != nil {
			p.Version = &d.Version
		}
		was, shown := s.sent[path]
		if shown && was.same(p) || !shown && d == nil && len(list) == 0 {
			continue
		}
		s.sent[path] = p
		if d == nil && len(list) == 0 {
			delete(s.sent, path)
		}
		s.out.put(p)
	}
}

// toShow is what is to be shown of a file: the faults that keep its text from
// being TOML alone, or else all that was found in this text from any open job.
// It is not ready while the text waits for a review.
func (s *server) toShow(path string) (list []Diagnostic, ready bool) {
	list = []Diagnostic{} // which clears; null would not
	d := s.workspace.At(path)
	if d != nil && d.Syntax != nil {
		found := diagnostics{}
		found.faults(s.workspace, d.Syntax, d.File)
		return append(list, found[path]...), true
	}
	var text *source.File
	if d != nil {
		if text = d.File; s.roots[path] == nil {
			return nil, false
		}
	}
	for _, from := range slices.Sorted(maps.Keys(s.roots)) {
		r := s.roots[from]
		if !r.read[path] || s.included(from) {
			continue
		}
		if r.texts[path] != text {
			if s.workspace.At(from).Syntax == nil {
				return nil, false
			}
			continue // it cannot be reviewed now, and what was found is of an older text
		}
		for _, x := range r.found[path] {
			if !slices.ContainsFunc(list, x.same) {
				list = append(list, x)
			}
		}
	}
	return list, true
}

func (p PublishDiagnostics) same(q PublishDiagnostics) bool {
	return p.URI == q.URI && (p.Version == nil) == (q.Version == nil) && (p.Version == nil || *p.Version == *q.Version) &&
		slices.EqualFunc(p.Diagnostics, q.Diagnostics, Diagnostic.same)
}

// same tells whether two diagnostics show alike.
func (x Diagnostic) same(y Diagnostic) bool {
	return x.Range == y.Range && x.Severity == y.Severity && x.Code == y.Code && x.Message == y.Message && slices.Equal(x.Related, y.Related)
}
