package cli

import (
	"bytes"
	"fmt"
	"io"
	"runtime/debug"
	"runtime/metrics"
	"time"

	"github.com/spf13/cobra"

	"plumbrule/internal/bound"
)

// allowance is how long a command may take and how much memory. What runs under
// it is not waited for once it is used up: the process is about to end.
type allowance struct {
	time   time.Duration
	memory int // GiB
	until  time.Time
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
	a.until = time.Now().Add(a.time)
	debug.SetMemoryLimit(int64(a.memory) << 30 * 9 / 10) // garbage is collected sooner the closer it comes
}

// patience is how often the memory is looked at.
const patience = 50 * time.Millisecond

// run does something as long as the allowance lasts.
func (a *allowance) run(do func() error) error {
	done := make(chan error, 1)
	go func() { done <- together(do)[0] }()
	over := time.NewTimer(time.Until(a.until))
	defer over.Stop()
	look := time.NewTicker(patience)
	defer look.Stop()
	for {
		select {
		case err := <-done:
			return err
		case <-over.C:
			return wrong("the review takes longer than %s and was given up; nothing was written; --time-limit TIME allows more", a.time)
		case <-look.C:
			if held() > uint64(a.memory)<<30 {
				return failed(fmt.Errorf("the review takes more than %d GiB of memory and was given up; nothing was written; --memory-limit GIB allows more", a.memory))
			}
		}
	}
}

// held is the memory in use, in bytes.
func held() uint64 {
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}

// writer lets a writer of a file run under the allowance. Nothing of what it
// writes goes further before all of it is there.
func (a *allowance) writer(write func(io.Writer) error) func(io.Writer) error {
	return func(w io.Writer) error {
		var made bytes.Buffer
		if err := a.run(func() error { return write(&made) }); err != nil {
			return err
		}
		_, err := made.WriteTo(w)
		return err
	}
}
