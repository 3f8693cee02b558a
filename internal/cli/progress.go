package cli

import (
	"fmt"
	"io"
	"sync"
	"time"
)

// progress tells on a terminal how far a run of several jobs is, once it takes
// longer than a moment. What is no terminal is told nothing.
type progress struct {
	w    io.Writer
	jobs int
	quit chan struct{}
	gone sync.WaitGroup

	lock sync.Mutex
	done int
}

const (
	aMoment   = time.Second
	eachStep  = 100 * time.Millisecond
	clearLine = "\r\x1b[K"
)

func newProgress(w io.Writer, jobs int) *progress {
	p := &progress{w: w, jobs: jobs, quit: make(chan struct{})}
	if isTerminal(w) {
		p.gone.Go(p.tell)
	}
	return p
}

// step counts a job that was reviewed.
func (p *progress) step() {
	p.lock.Lock()
	p.done++
	p.lock.Unlock()
}

// tell writes one line over and over, and takes it away at the end.
func (p *progress) tell() {
	select {
	case <-p.quit:
		return
	case <-time.After(aMoment):
	}
	tick := time.NewTicker(eachStep)
	defer tick.Stop()
	for {
		p.lock.Lock()
		done := p.done
		p.lock.Unlock()
		fmt.Fprintf(p.w, "%sreviewed %d of %s", clearLine, done, count(p.jobs, "job"))
		select {
		case <-p.quit:
			fmt.Fprint(p.w, clearLine)
			return
		case <-tick.C:
		}
	}
}

// end takes away what was told.
func (p *progress) end() {
	close(p.quit)
	p.gone.Wait()
}
