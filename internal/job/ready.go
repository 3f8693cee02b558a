package job

import (
	"crypto/sha256"
	_ "embed"
	"sync"

	"plumbrule/internal/packed"
)

// What is ready made. The files of the standard sets stand in ready.bin as they are
// decoded: the model needs the names of the sets at every start of the program. A test
// writes that file (go generate) and holds it to the sets. A file whose text is another
// one is decoded.

//go:generate go test -count=1 . -run TestReady$ -update

//go:embed ready.bin
var readyData string

// readySet is a file of sets ready made.
type readySet struct {
	Sum string // of its text
	Is  setFile
}

// readySets are the ready files by the sums of their texts.
var readySets = sync.OnceValue(func() map[string]*setFile {
	list, err := packed.Decode[[]readySet](readyData)
	if err != nil {
		return nil
	}
	out := make(map[string]*setFile, len(list))
	for i := range list {
		out[list[i].Sum] = &list[i].Is
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
