package cli

import (
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"runtime/metrics"
	"sync"
	"sync/atomic"
	"time"

	"github.com/spf13/cobra"

	"plumbrule/internal/bound"
)

// allowance is how long a command may take and how much memory. What runs under
// it is not waited for once it is used up: the process is about to end.
type allowance struct {
	time   time.Duration
	memory int // GiB
	until  atomic.Pointer[time.Time]
}

func (a *allowance) add(c *cobra.Command) {
	c.Flags().DurationVar(&a.time, "time-limit", bound.Time, "give up a review, with its files, that takes longer than this `TIME`, such as 30m")
	c.Flags().IntVar(&a.memory, "memory-limit", bound.Memory>>30, "give up a review that takes more memory than this many `GIB`")
}

// usual is the allowance of a command without those flags.
func usual() *allowance {
	a := &allowance{time: bound.Time, memory: bound.Memory >> 30}
	a.begin()
	return a
}

// wanting refuses an allowance in which nothing can be done.
func (a *allowance) wanting() error {
	switch {
	case a.time <= 0:
		return wrong("--time-limit %s: a time above 0 is expected, such as 30m", a.time)
	case a.memory <= 0 || a.memory > 1<<20:
		return wrong("--memory-limit %d: a number of GiB from 1 on is expected", a.memory)
	}
	return nil
}

// begin starts the clock.
func (a *allowance) begin() {
	a.goOn()
	debug.SetMemoryLimit(int64(a.memory) << 30 * 9 / 10) // garbage is collected sooner the closer it comes
}

// goOn starts the clock again, for the next of many jobs.
func (a *allowance) goOn() {
	until := time.Now().Add(a.time)
	a.until.Store(&until)
}

// patience is how often the memory is looked at.
const patience = 50 * time.Millisecond

// run does something as long as the allowance lasts.
func (a *allowance) run(do func() error) error {
	done := goOff(do)
	over := time.NewTimer(time.Until(*a.until.Load()))
	defer over.Stop()
	look := time.NewTicker(patience)
	defer look.Stop()
	for {
		select {
		case err := <-done:
			return err
		case <-over.C:
			if left := time.Until(*a.until.Load()); left > 0 { // another job began meanwhile
				over.Reset(left)
				continue
			}
			return wrong("the review takes longer than %s and was given up; nothing was written; --time-limit TIME allows more", a.time)
		case <-look.C:
			used := held()
			if used > roomy {
				thrifty()
			}
			if used > uint64(a.memory)<<30 {
				return failed(fmt.Errorf("the review takes more than %d GiB of memory and was given up; nothing was written; --memory-limit GIB allows more", a.memory))
			}
		}
	}
}

// roomy is the memory, in bytes, above which garbage is collected more often: a small
// job is done before that is worth its while.
const roomy = 128 << 20

// thrifty lets less garbage stand, once.
var thrifty = sync.OnceFunc(func() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(30)
	}
})

// held is the memory in use, in bytes.
func held() uint64 {
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}

// writer lets a writer of a file run under the allowance. Nothing of what it
// writes goes further once it was given up.
func (a *allowance) writer(write func(io.Writer) error) func(io.Writer) error {
	return func(w io.Writer) error {
		s := &sluice{w: w}
		defer s.shut()
		return a.run(func() error { return write(s) })
	}
}

// sluice lets through what is written to it until it is shut.
type sluice struct {
	lock sync.Mutex
	w    io.Writer
	done bool
}

func (s *sluice) Write(text []byte) (int, error) {
	s.lock.Lock()
	defer s.lock.Unlock()
	if s.done {
		return 0, io.ErrClosedPipe
	}
	return s.w.Write(text)
}

func (s *sluice) shut() {
	s.lock.Lock()
	defer s.lock.Unlock()
	s.done = true
}

// goOff starts a function and gives the channel of its error.
func goOff(do func() error) <-chan error {
	done := make(chan error, 1)
	go func() { done <- together(do)[0] }()
	return done
}
