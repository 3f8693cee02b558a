package cli

import (
	"crypto/rand"
	"os"

	"plumbrule/internal/review"
)

// writeFile writes a file whole or not at all: under another name in the same
// folder, then renamed. It refuses to write over a file that a review read.
func writeFile(path string, data []byte, reviews []*review.Review) error {
	if info, err := os.Stat(path); err == nil {
		if !info.Mode().IsRegular() {
			return wrong("--output %s: not a regular file", path)
		}
		for _, r := range reviews {
			for _, f := range r.Job.Files {
				if in, err := os.Stat(f.Name); err == nil && os.SameFile(info, in) {
					return wrong("--output %s: this file is part of the job", path)
				}
			}
		}
	}
	temporary := path + "." + rand.Text() + ".part"
	f, err := os.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return wrong("--output %s: no file can be made there", path)
	}
	_, err = f.Write(data)
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(temporary, path)
	}
	if err != nil {
		os.Remove(temporary)
		return failed(err)
	}
	return nil
}
