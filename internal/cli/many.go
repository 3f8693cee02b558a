package cli

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"path/filepath"
	"runtime"
	"slices"
	"sync"

	"plumbrule/internal/adoption"
	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// desk is what all reviews of one run are held against, read once.
type desk struct {
	force  *adoption.Force
	tables *table.Set
	only   []string // checks; nil for all
	brief  bool     // nothing is written of what is met; see review.Options
	office office
}

// newDesk reads what the flags name. Without faults the desk is whole.
func (p *program) newDesk(o *checkFlags) (*desk, source.Faults, error) {
	var d desk
	var book *codebook.Codebook
	errs := together(
		func() (err error) { book, err = p.loadBook(o.jurisdictions...); return err },
		func() (err error) { d.tables, err = p.loadTables(); return err },
		func() error { job.Prepare(); return nil },
	)
	if err := errors.Join(defects(errs)...); err != nil {
		return nil, nil, err
	}
	faults := faultsOf(errs[0])
	if book == nil {
		return nil, faults, nil
	}
	force, err := p.force(book, &o.adopt)
	if len(faultsOf(err)) == 0 && err != nil {
		return nil, nil, failed(err)
	}
	if faults = append(faults, faultsOf(err)...); force == nil {
		return nil, faults, nil
	}
	var more source.Faults
	d.force = force
	d.only, more = checksNamed(o.only, force.Book)
	faults = append(faults, more...)
	d.office, more = o.office.load(o.date)
	return &d, append(faults, more...), nil
}

// review reviews a job.
func (d *desk) review(j *job.Job, path string) (*review.Review, error) {
	r, err := review.Run(d.force.Job(j), d.force.Book, d.tables, review.Options{Only: d.only, Leave: d.office.leave, Standing: d.office.standing, Brief: d.brief})
	switch {
	case errors.Is(err, review.ErrNothingRan):
		return nil, source.Faults{{At: source.Span{File: &source.File{Name: path}}, Message: err.Error()}}
	case err != nil && len(faultsOf(err)) == 0:
		return nil, failed(err)
	}
	return r, err
}

// reviewEach reviews every job, as many side by side as there are processors, and
// gives the reviews one after the other in the order of the jobs. It holds on to
// none that was given. Where anything is wrong no more are given, and the error has
// every fault of every input. A job has the whole allowance for itself.
func (p *program) reviewEach(d *desk, faults source.Faults, paths []string, load func(path string) (*job.Job, error), o *checkFlags, give func(*review.Review) error) error {
	type result struct {
		review *review.Review
		err    error
	}
	wanting := len(faults) > 0 // what the desk lacks no job mends, but each is read for its own faults
	one := func(path string) (r *review.Review, err error) {
		j, err := load(path)
		switch {
		case err != nil && len(faultsOf(err)) == 0:
			return nil, failed(fmt.Errorf("%s: %w", path, err))
		case err != nil || wanting:
			return nil, err
		}
		if r, err = d.review(j, path); err != nil {
			return nil, err
		}
		if d.office.earlier == nil { // else its comments take the numbers of that first
			r.Comments() // here, where others are made side by side
		}
		return r, nil
	}
	done := make([]chan result, len(paths))
	for i := range done {
		done[i] = make(chan result, 1)
	}
	stop := make(chan struct{})
	defer close(stop)
	room := make(chan struct{}, runtime.GOMAXPROCS(0)+1) // reviews that are made or wait to be given
	go func() {
		for i, path := range paths {
			select {
			case room <- struct{}{}:
			case <-stop:
				return
			}
			go func() {
				var x result
				x.err = together(func() (err error) { x.review, err = one(path); return err })[0]
				done[i] <- x
			}()
		}
	}()
	for i := range paths {
		if i > 0 {
			o.allowed.goOn()
		}
		var x result
		if err := o.allowed.run(func() error { x = <-done[i]; return nil }); err != nil {
			return err
		}
		<-room
		list := faultsOf(x.err)
		if x.err != nil && len(list) == 0 {
			return x.err
		}
		if faults = append(faults, list...); len(faults) > 0 {
			continue
		}
		if err := o.goOn(x.review, d.office.earlier); err != nil {
			return err
		}
		if err := give(x.review); err != nil {
			return err
		}
	}
	if err := faults.Err(); err != nil {
		return &exit{exitInput, err}
	}
	return nil
}

// reviewAll reviews every job, each read by load, or gives every fault of every
// input.
func (p *program) reviewAll(paths []string, load func(path string) (*job.Job, error), o *checkFlags) ([]*review.Review, error) {
	d, faults, err := p.newDesk(o)
	if err != nil {
		return nil, err
	}
	var reviews []*review.Review
	if err := p.reviewEach(d, faults, paths, load, o, func(r *review.Review) error { reviews = append(reviews, r); return nil }); err != nil {
		return nil, err
	}
	return reviews, nil
}

// feed hands each review to everything that is written of it, and lets go of it
// before the next but one.
type feed struct {
	to   []chan *review.Review
	quit chan struct{} // closed once nobody wants more
	once sync.Once
	err  error // why there are no more; set before the channels are closed

	// What is known of the reviews that were given.
	read    []string
	verdict verdict
}

func newFeed(gate review.Gate) *feed {
	return &feed{quit: make(chan struct{}), verdict: verdict{gate: gate}}
}

// stop ends the feed; what runs gives up at its next review.
func (f *feed) stop() { f.once.Do(func() { close(f.quit) }) }

var errStopped = errors.New("nobody wants more")

// give hands a review to every writer.
func (f *feed) give(r *review.Review) error {
	f.verdict.add(r)
	f.read = append(f.read, filesOf(r)...)
	for _, c := range f.to {
		select {
		case c <- r:
		case <-f.quit:
			return errStopped
		}
	}
	return nil
}

// run gives what a function makes, until it ends.
func (f *feed) run(make func(give func(*review.Review) error) error) {
	f.err = together(func() error { return make(f.give) })[0]
	for _, c := range f.to {
		close(c)
	}
}

// writer lets a function write of the reviews as they come. Where they end in an
// error it is the writer's. It is called before the feed runs.
func (f *feed) writer(write func(io.Writer, iter.Seq[*review.Review]) error) func(io.Writer) error {
	c := make(chan *review.Review)
	f.to = append(f.to, c)
	return func(w io.Writer) error {
		err := write(w, func(yield func(*review.Review) bool) {
			for r := range c {
				if !yield(r) {
					return
				}
			}
		})
		if err != nil {
			f.stop()
		}
		for range c { // of which the writer wants no more
		}
		if f.err != nil && !errors.Is(f.err, errStopped) {
			return f.err
		}
		return err
	}
}

// filesOf lists the files that a review comes of, without those of the flags.
func filesOf(r *review.Review) (read []string) {
	for _, f := range r.Job.Files {
		read = append(read, f.Name)
	}
	if a := r.Book.Authority; a != nil {
		for _, f := range a.Files {
			read = append(read, f.Name)
		}
	}
	return read
}

// read lists the files that the flags name.
func (o *checkFlags) read() []string {
	read := append(slices.Clone(o.letter.templates), o.office.inputs()...)
	for _, dir := range o.jurisdictions {
		// ruleFilesIn would refuse what is just being made beside the rules.
		for _, pattern := range []string{"*.toml", "*/*.toml", "*/*/*.toml"} {
			names, _ := filepath.Glob(filepath.Join(globbed(dir), pattern)) // the pattern is right
			read = append(read, names...)
		}
	}
	return read
}

// verdict is how a check ends, worked out job by job.
type verdict struct {
	gate        review.Gate
	broken      []error
	outstanding bool
}
