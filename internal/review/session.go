package review

import (
	"slices"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
)

// Session is a reviewed job that can be reviewed again with values changed. It
// decides again only what read a changed value; every other outcome is taken
// over. A session is never changed: an edit gives another one.
type Session struct {
	tree    *job.Tree
	book    *codebook.Codebook
	tables  *table.Set
	options Options
	review  *Review
}

// NewSession reviews a job. Errors are those of Run and of reading the job.
func NewSession(tree *job.Tree, book *codebook.Codebook, tables *table.Set, o Options) (*Session, error) {
	s := &Session{tree: tree, book: book, tables: tables, options: o}
	return s, s.run(nil)
}

// run reviews the job of a session and takes over what the session before it
// gives.
func (s *Session) run(before *Session) error {
	j, err := s.tree.Job()
	if err != nil {
		return err
	}
	if s.options.Under != nil {
		j = s.options.Under(j)
	}
	s.review, err = run(j, s.book, s.tables, s.options, before.earlier(j))
	return err
}

// Review is the review of the job as it is in this session.
func (s *Session) Review() *Review { return s.review }

// Tree is the job as it is in this session.
func (s *Session) Tree() *job.Tree { return s.tree }

// With reviews the job with edits made. The error is source.Faults where an
// edit names what the job does not have, or makes it unreadable.
func (s *Session) With(e job.Edits) (*Session, error) {
	tree, err := s.tree.With(e)
	if err != nil {
		return nil, err
	}
	next := &Session{tree: tree, book: s.book, tables: s.tables, options: s.options}
	return next, next.run(s)
}

// Next reviews another reading of the job, such as after its text was changed.
// Where only values differ, what did not read them is taken over, at the place
// where it stands now. Errors are those of NewSession.
func (s *Session) Next(tree *job.Tree) (*Session, error) {
	next := &Session{tree: tree, book: s.book, tables: s.tables, options: s.options}
	return next, next.run(s)
}

// earlier is what a review of the changed job may take over, or nil where
// everything has to be decided again.
func (s *Session) earlier(j *job.Job) *earlier {
	if s == nil {
		return nil
	}
	was := s.review.Job
	change := job.Compare(was, j)
	if !change.Comparable || was.System() != j.System() {
		return nil
	}
	for _, k := range change.Keys {
		if parts, ok := job.SplitKey(k); !ok || parts[0] == "adoption" {
			return nil // an edition decides which checks hold, and their limits and citations
		}
	}
	return &earlier{s.review, s.review.readers().Resting(change.Keys), change}
}

// Anew reviews the job once more and takes nothing over. What a long row of
// sessions decided in earlier readings of the job is then let go of.
func (s *Session) Anew() (*Session, error) { return NewSession(s.tree, s.book, s.tables, s.options) }

// Only is the session of the same job for some of its checks alone, which is soon
// reviewed again. Errors are those of NewSession.
func (s *Session) Only(checks ...string) (*Session, error) {
	o := s.options
	o.Only = checks
	return NewSession(s.tree, s.book, s.tables, o)
}

// Prepare does ahead what the next session would do first, such as while nobody
// waits for it.
func (s *Session) Prepare() { s.review.readers() }

// lookThrough tells who read what of all that the outcomes and the lists of
// things rest on.
func (r *Review) lookThrough() *terms.Readers {
	var all []*terms.Value
	for i := range r.Outcomes {
		all = append(all, r.Outcomes[i].rests...)
	}
	for _, id := range r.ran {
		all = append(all, r.Model.List(r.Book.Check(id).Each))
	}
	return terms.ReadersOf(all...)
}

// earlier is an earlier review of a job in which only some values differ.
type earlier struct {
	review *Review
	rests  func(*terms.Value) bool // whether a value of it rests on one of those
	change *job.Difference
}

// outcomes gives, for check i of the review, the earlier outcomes that still
// hold, nil where one has to be decided again; nothing where the things that
// the check looks at may be others.
func (e *earlier) outcomes(i int, kind *terms.Kind) []*Outcome {
	if e == nil || e.rests(e.review.Model.List(kind)) {
		return nil
	}
	old := e.review.Outcomes[e.review.starts[i]:e.review.starts[i+1]]
	out := make([]*Outcome, len(old))
	for n := range old {
		if o := &old[n]; !e.touched(o) {
			out[n] = e.moved(o)
		}
	}
	return out
}

// moved is an outcome with its places as they are in the changed job; nil where
// one of them cannot be told.
func (e *earlier) moved(o *Outcome) *Outcome {
	next := *o
	var known bool
	if next.At, known = e.change.Moved(o.At); !known {
		return nil
	}
	next.Needs = slices.Clone(o.Needs)
	for i, n := range o.Needs {
		if next.Needs[i].At, known = e.change.Moved(n.At); !known {
			return nil
		}
	}
	next.place = e.change.Place
	return &next
}

// touched tells whether an outcome rests on a changed value.
func (e *earlier) touched(o *Outcome) bool {
	return o.Defect != "" || o.unwritten != "" || o.Check.Gathers != "" || // what it gathers rests on all of them
		slices.ContainsFunc(o.rests, e.rests)
}
