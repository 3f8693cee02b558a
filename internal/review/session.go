package review

import (
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
	j, err := tree.Job()
	if err != nil {
		return nil, err
	}
	if s.review, err = run(j, book, tables, o, nil); err != nil {
		return nil, err
	}
	return s, nil
}

// Review is the review of the job as it is in this session.
func (s *Session) Review() *Review { return s.review }

// Tree is the job as it is in this session.
func (s *Session) Tree() *job.Tree { return s.tree }

// With reviews the job with edits made. The error is source.Faults where an
// edit names what the job does not have, or makes it unreadable.
func (s *Session) With(e job.Edits) (*Session, error) {
	next := &Session{book: s.book, tables: s.tables, options: s.options}
	var err error
	if next.tree, err = s.tree.With(e); err != nil {
		return nil, err
	}
	j, err := next.tree.Job()
	if err != nil {
		return nil, err
	}
	if next.review, err = run(j, s.book, s.tables, s.options, s.earlier(j)); err != nil {
		return nil, err
	}
	return next, nil
}

// earlier is what a review of the changed job may take over, or nil where
// everything has to be decided again.
func (s *Session) earlier(j *job.Job) *earlier {
	was := s.review.Job
	keys, comparable := job.Changes(was, j)
	if !comparable || was.System() != j.System() {
		return nil
	}
	changed := make(map[string]bool, len(keys))
	for _, k := range keys {
		if parts, ok := job.SplitKey(k); !ok || parts[0] == "adoption" {
			return nil // an edition decides which checks hold, and their limits and citations
		}
		changed[k] = true
	}
	return &earlier{review: s.review, changed: changed, memo: map[*terms.Value]bool{}}
}

// earlier is an earlier review of a job in which only some values differ.
type earlier struct {
	review  *Review
	changed map[string]bool
	memo    map[*terms.Value]bool
}

// outcomes gives, for check i of the review, the earlier outcomes that still
// hold, nil where one has to be decided again; nothing where the things that
// the check looks at may be others.
func (e *earlier) outcomes(i int, kind *terms.Kind) []*Outcome {
	if e == nil || e.review.Model.List(kind).Rests(e.changed, e.memo) {
		return nil
	}
	old := e.review.Outcomes[e.review.starts[i]:e.review.starts[i+1]]
	out := make([]*Outcome, len(old))
	for n := range old {
		if o := &old[n]; !e.touched(o) {
			out[n] = o
		}
	}
	return out
}

// touched tells whether an outcome rests on a changed value.
func (e *earlier) touched(o *Outcome) bool {
	if o.Defect != "" || o.unwritten != "" || o.Check.Gathers { // a list of checks rests on all of them
		return true
	}
	for _, v := range o.rests {
		if v.Rests(e.changed, e.memo) {
			return true
		}
	}
	return false
}
