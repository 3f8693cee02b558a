package editor

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path"
	"runtime/debug"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// reviewAll reviews what waits, one document after the other.
func (s *server) reviewAll(ctx context.Context) {
	s.load()
	sessions := map[string]*kept{} // of each open job
	for {
		s.prepare(ctx)
		select {
		case <-ctx.Done():
			return
		case <-s.wake:
		}
		for {
			w, d := s.next()
			if d == nil {
				break
			}
			k := sessions[d.Path]
			if k == nil {
				k = &kept{}
			}
			t := s.try(w, d, k.session)
			s.settle(t)
			if t.session != nil {
				sessions[d.Path] = k
				k.session = t.session
				if k.reviews++; s.idle() {
					k.prepare()
				}
			}
		}
		w := s.now()
		for p := range sessions {
			if w.At(p) == nil {
				delete(sessions, p)
			}
		}
	}
}

// kept is the last session of a document, from which the next one takes over what
// did not change.
type kept struct {
	session *review.Session
	reviews int // since the first of them, from which nothing was taken over
}

// mostTakenOver bounds the reviews that take over from one another. An outcome
// that is taken over holds on to the whole job that it was decided in, so that
// without an end memory would grow with each value that is changed.
const mostTakenOver = 40

// prepare does what the next review would have to do first, while nobody waits.
func (k *kept) prepare() {
	if k.reviews >= mostTakenOver {
		if anew, err := k.session.Anew(); err == nil {
			k.session, k.reviews = anew, 0
		}
	}
	k.session.Prepare()
}

// prepare compiles the checks while there is nothing to review, so that the first
// review need not wait for it.
func (s *server) prepare(ctx context.Context) {
	if book := s.now().Book; book != nil && book.Words != nil && !s.prepared {
		s.prepared = book.Compile(func() bool { return ctx.Err() == nil && s.idle() })
	}
}

// idle tells whether nothing waits for a review.
func (s *server) idle() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.waiting) == 0
}

// load reads the rules. Without them there are no reviews, but all that needs
// no rules still works.
func (s *server) load() {
	defer func() {
		if defect := recover(); defect != nil {
			s.log.Printf("defect: %v\n%s", defect, debug.Stack())
		}
	}()
	book, tables, err := s.options.Load()
	if err != nil {
		s.log.Printf("the rules cannot be read: %v", err)
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	next := *s.workspace
	next.Book, next.Tables = book, tables
	s.workspace = &next
}

// next takes the first document that waits; nil where none does.
func (s *server) next() (*Workspace, *Document) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for len(s.waiting) > 0 {
		path := s.waiting[0]
		s.waiting = s.waiting[1:]
		if d := s.workspace.At(path); d != nil {
			return s.workspace, d
		}
	}
	return nil, nil
}

// trial is what came of reading and reviewing a document.
type trial struct {
	workspace *Workspace
	document  *Document
	beside    job.Open        // reads what it names
	read      map[string]bool // files that it names
	found     diagnostics
	job       *job.Job        // nil where it cannot be read
	session   *review.Session // nil where it was not reviewed
}

// try reads a document as it was in a workspace and reviews it. A panic in that
// is shown, and the server goes on.
func (s *server) try(w *Workspace, d *Document, last *review.Session) (t *trial) {
	t = &trial{workspace: w, document: d, beside: w.beside(d), read: map[string]bool{}, found: diagnostics{}}
	defer func() {
		if defect := recover(); defect != nil {
			s.log.Printf("defect: %s: %v\n%s", d.Path, defect, debug.Stack())
			t.session, t.found = nil, diagnostics{}
			t.say(d.File.Start(), fmt.Sprintf("The review failed by a defect of the program, not of the job: %v", defect))
		}
	}()
	if d.Syntax != nil {
		return t
	}
	tree, err := job.Read(d.Path, d.File.Text, t.open)
	if err != nil {
		t.refuse(err)
		return t
	}
	if !d.isJob() {
		t.refuse(tree.PartFaults())
		return t
	}
	if t.job, err = tree.Job(); err != nil {
		t.refuse(err)
		return t
	}
	if w.Book == nil {
		t.say(d.File.Start(), "The job is not reviewed: the rules cannot be read.")
		return t
	}
	if last == nil {
		t.session, err = review.NewSession(tree, w.Book, w.Tables, review.Options{})
	} else {
		t.session, err = last.Next(tree)
	}
	if err != nil {
		t.session = nil
		t.refuse(err)
		return t
	}
	r := t.session.Review()
	for _, defect := range r.Defects() {
		s.log.Printf("defect in check %s", defect)
	}
	t.found.findings(w, r)
	return t
}

// open reads a file that the document names, and notes that it does.
func (t *trial) open(name string) ([]byte, error) {
	t.read[name] = true
	if strings.HasPrefix(t.document.Path, "untitled:") {
		return nil, errors.New("a job that is not saved yet has no files beside it")
	}
	return t.beside(name)
}

func (t *trial) say(at source.Span, message string) {
	t.found.add(t.workspace, at, Diagnostic{Severity: SeverityError, Message: message})
}

// refuse shows why a job cannot be reviewed. A document that has no fault
// itself says where they are.
func (t *trial) refuse(err error) {
	file := t.document.File
	var faults source.Faults
	if !errors.As(err, &faults) {
		if err != nil {
			t.say(file.Start(), wording.Sentence(err.Error()))
		}
		return
	}
	t.found.faults(t.workspace, faults, file)
	if len(faults) == 0 || len(t.found[file.Name]) > 0 {
		return
	}
	names := map[string]int{}
	for _, f := range faults {
		names[path.Base(f.At.File.Name)]++
	}
	var in []string
	for name, n := range names {
		in = append(in, wording.Plural(n, "fault", "faults")+" in "+name)
	}
	slices.Sort(in)
	t.say(cmp.Or(t.document.Index.Of("include").Best(), file.Start()), "The job is not reviewed: "+strings.Join(in, ", ")+".")
}

// isJob tells whether a document is a job by itself. What has none of these is
// a part of jobs, such as a list of equipment.
func (d *Document) isJob() bool {
	return slices.ContainsFunc([]string{"project", "adoption", "site", "building", "include"}, func(key string) bool {
		return d.Index != nil && d.Index.Has(key)
	})
}

// settle takes over what came of a document, unless a text that it rests on has
// changed meanwhile: then it is reviewed again.
func (s *server) settle(t *trial) {
	s.mu.Lock()
	defer s.mu.Unlock()
	path := t.document.Path
	texts := map[string]*source.File{}
	t.read[path] = true
	for name := range t.read {
		was, is := t.workspace.At(name), s.workspace.At(name)
		switch {
		case was == nil && is == nil: // on the disk
		case was == nil || is == nil || was.File != is.File:
			s.enqueue(path)
			return
		default:
			texts[name] = is.File
		}
	}
	roles, shown := s.roles(), s.shownBy(path)
	if t.document.Syntax == nil {
		s.roots[path] = &root{t.read, t.found, texts}
		s.remember(t)
	} // else what it names is not known anew: what was found there still holds
	s.publish(append(append(shown, s.shownBy(path)...), s.recast(roles)...))
	s.publish([]string{path})
}

// remember notes the job and the review in the document, and in the open parts
// that the job includes.
func (s *server) remember(t *trial) {
	if t.job == nil {
		return
	}
	for name := range t.read {
		d := s.workspace.At(name)
		if d == nil || name != t.document.Path && d.isJob() {
			continue
		}
		next := *d
		next.Job, next.Review, next.Old = t.job, nil, false
		if t.session != nil {
			next.Review = t.session.Review()
		}
		s.workspace = s.workspace.with(&next)
	}
}

// included tells whether an open document is a part of an open job, and so none
// by itself. Of two that include each other both are jobs.
func (s *server) included(path string) bool {
	for from, r := range s.roots {
		if from == path || !r.read[path] || !s.workspace.At(from).isJob() {
			continue
		}
		if own := s.roots[path]; own == nil || !own.read[from] {
			return true
		}
	}
	return false
}

// roles tells of each open document whether it is included.
func (s *server) roles() map[string]bool {
	out := map[string]bool{}
	for path := range s.roots {
		out[path] = s.included(path)
	}
	return out
}

// recast lists the files in which something is shown from documents whose roles
// were others before.
func (s *server) recast(before map[string]bool) (files []string) {
	for path, is := range s.roles() {
		if was, known := before[path]; known && was != is {
			files = append(files, s.shownBy(path)...)
		}
	}
	return files
}
