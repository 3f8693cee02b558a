// Packs files into one archive, the same bytes for the same files: names in
// order, one time, no owner. usage: go run archive.go OUT.tar.gz|OUT.zip SECONDS FOLDER
package main

import (
	"archive/tar"
	"archive/zip"
	"compress/gzip"
	"io"
	"io/fs"
	"log"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 4 {
		log.Fatal("usage: archive OUT SECONDS FOLDER")
	}
	seconds, err := strconv.ParseInt(os.Args[2], 10, 64)
	check(err)
	when, folder := time.Unix(seconds, 0).UTC(), os.Args[3]
	out, err := os.Create(os.Args[1])
	check(err)
	var add func(name string, mode fs.FileMode, text []byte)
	var closers []io.Closer
	if strings.HasSuffix(os.Args[1], ".zip") {
		z := zip.NewWriter(out)
		closers = append(closers, z)
		add = func(name string, mode fs.FileMode, text []byte) {
			h := &zip.FileHeader{Name: name, Method: zip.Deflate, Modified: when}
			h.SetMode(mode)
			w, err := z.CreateHeader(h)
			check(err)
			_, err = w.Write(text)
			check(err)
		}
	} else {
		g, err := gzip.NewWriterLevel(out, gzip.BestCompression)
		check(err)
		t := tar.NewWriter(g)
		closers = append(closers, t, g)
		add = func(name string, mode fs.FileMode, text []byte) {
			check(t.WriteHeader(&tar.Header{Name: name, Mode: int64(mode), Size: int64(len(text)), ModTime: when, Format: tar.FormatPAX}))
			_, err := t.Write(text)
			check(err)
		}
	}
	check(filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error { // in the order of names
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		check(err)
		name, err := filepath.Rel(filepath.Dir(filepath.Clean(folder)), path)
		check(err)
		mode := fs.FileMode(0o644)
		if base := filepath.Base(path); base == "plumbrule" || base == "plumbrule.exe" {
			mode = 0o755
		}
		add(filepath.ToSlash(name), mode, text)
		return nil
	}))
	for _, c := range closers {
		check(c.Close())
	}
	check(out.Close())
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}
