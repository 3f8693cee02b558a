package editor

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"strconv"
	"strings"
)

// codec reads and writes messages of the protocol: a head of lines, of which
// Content-Length says how long the JSON after the empty line is. A message that
// cannot be read is passed over and logged, since the next one begins at a known
// place; a head that cannot be read ends the connection. (The codec that comes
// with the library reads until the JSON ends, wherever that is.)
type codec struct{ log *log.Logger }

// longestMessage is far beyond the largest file that is read.
const longestMessage = 64 << 20

// WriteObject writes one message.
func (c codec) WriteObject(w io.Writer, message any) error {
	data, err := json.Marshal(message)
	if err != nil {
		return err
	}
	if _, err := fmt.Fprintf(w, "Content-Length: %d\r\n\r\n", len(data)); err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

// ReadObject reads the next message that can be read.
func (c codec) ReadObject(r *bufio.Reader, message any) error {
	for {
		length, err := readHead(r)
		if err != nil {
			return err
		}
		if length > longestMessage {
			c.log.Printf("a message of %d bytes is passed over", length)
			if _, err := io.CopyN(io.Discard, r, length); err != nil {
				return err
			}
			continue
		}
		data := make([]byte, length)
		if _, err := io.ReadFull(r, data); err != nil {
			return err
		}
		if err := json.Unmarshal(data, message); err == nil {
			return nil
		} else {
			c.log.Printf("a message is passed over: %v", err)
		}
	}
}

// readHead reads the head of a message and gives the length of what follows.
func readHead(r *bufio.Reader) (int64, error) {
	length := int64(-1)
	for first := true; ; first = false {
		line, err := r.ReadSlice('\n') // at most what the reader buffers
		if errors.Is(err, io.EOF) && first && len(line) == 0 {
			return 0, io.EOF
		}
		if err != nil {
			return 0, fmt.Errorf("the head of a message: %w", err)
		}
		text := strings.TrimRight(string(line), "\r\n")
		if text == "" {
			break
		}
		name, value, _ := strings.Cut(text, ":")
		if !strings.EqualFold(strings.TrimSpace(name), "Content-Length") {
			continue
		}
		if length, err = strconv.ParseInt(strings.TrimSpace(value), 10, 64); err != nil || length < 0 {
			return 0, fmt.Errorf("the head of a message: length %q", value)
		}
	}
	if length < 0 {
		return 0, errors.New("the head of a message lacks Content-Length")
	}
	return length, nil
}
