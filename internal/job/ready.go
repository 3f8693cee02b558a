package job

import (
	"crypto/sha256"
	_ "embed"
	"sync"

	"plumbrule/internal/packed"
)

// What is ready made. The files of the standard sets and the schema of jobs stand in
// ready.bin as they are decoded: every start of the program needs them. A test writes
// that file (go generate) and holds it to those files. One whose text is another is
// decoded.

//go:generate go test -count=1 . -run TestReady$ -update

//go:embed ready.bin
var readyData string

// ready is ready.bin.
type ready struct {
	Sets      []readySet
	SchemaSum string // of the text of the schema
	Schema    string // without what it says to people, packed for itself
}

var readyParts = sync.OnceValues(func() (ready, error) { return packed.Decode[ready](readyData) })

// readySet is a file of sets ready made.
type readySet struct {
	Sum string // of its text
	Is  setFile
}

// readySets are the ready files by the sums of their texts.
var readySets = sync.OnceValue(func() map[string]*setFile {
	parts, err := readyParts()
	if err != nil {
		return nil
	}
	out := make(map[string]*setFile, len(parts.Sets))
	for i := range parts.Sets {
		out[parts.Sets[i].Sum] = &parts.Sets[i].Is
	}
	return out
})

// sumOf tells texts apart.
func sumOf(text []byte) string {
	sum := sha256.Sum256(text)
	return string(sum[:])
}

// Prepare makes what every job is held against, before there is one: the schema. It
// may run beside other work.
func Prepare() {
	_, _ = compiled() // a job says what is wrong with it
}
