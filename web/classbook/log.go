package classbook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"strconv"
	"time"

	"github.com/rogpeppe/go-internal/lockedfile"

	"pluckweigh/lesson"
)

// A record is one line of the file: one of these.
type record struct {
	Begin *begun    `json:"begin,omitempty"`
	Seat  *seated   `json:"seat,omitempty"`
	Add   *added    `json:"add,omitempty"`
	Aside *setAside `json:"aside,omitempty"`
	Teach *taught   `json:"teach,omitempty"`
}

type seated struct {
	Seat
	Token []byte `json:"token"` // its hash: the file opens no seat
}

type added struct {
	Seat   int            `json:"seat"`
	Lesson string         `json:"lesson"`
	Key    string         `json:"key"`
	Points []lesson.Point `json:"points"`
}

type setAside struct {
	ID  int    `json:"id"`
	Why string `json:"why"`
}

type taught struct {
	Lesson string            `json:"lesson"`
	Givens map[string]string `json:"givens"`
}

// A logFile is where records are kept, one a line behind its checksum.
type logFile struct {
	f      *lockedfile.File
	size   int64
	failed error
}

// mostFile is more than any class needs, bytes.
const mostFile = 256 << 20

// openLog opens the file, or begins it, and replays what is in it. A last line that was
// not finished was told to nobody, and is cut off.
func openLog(path string, replay func(record) error) (*logFile, error) {
	f, err := openAlone(path)
	if err != nil {
		return nil, err
	}
	l := &logFile{f: f}
	if err := l.read(path, replay); err != nil {
		f.Close()
		return nil, err
	}
	return l, nil
}

// openAlone opens a file that no other program has open by the same means.
func openAlone(path string) (*lockedfile.File, error) {
	type opened struct {
		f   *lockedfile.File
		err error
	}
	done := make(chan opened, 1)
	go func() {
		f, err := lockedfile.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
		done <- opened{f, err}
	}()
	select {
	case o := <-done:
		return o.f, o.err
	case <-time.After(patience):
		go func() { // it may come yet
			if o := <-done; o.err == nil {
				o.f.Close()
			}
		}()
		return nil, &Error{path + ": another program has the class open", "end that, or name another file"}
	}
}

// patience is how long another program may be about to end.
const patience = 2 * time.Second

func (l *logFile) read(path string, replay func(record) error) error {
	all, err := io.ReadAll(io.LimitReader(l.f, mostFile+1))
	if err != nil {
		return err
	}
	if len(all) > mostFile {
		return &Error{path + ": is too large to be a class", "name another file"}
	}
	for n := 1; len(all) > 0; n++ {
		end := bytes.IndexByte(all, '\n')
		if end < 0 {
			break
		}
		r, err := parse(all[:end])
		if err == nil {
			err = replay(r)
		}
		if err != nil {
			return &Error{fmt.Sprintf("%s: line %d is damaged, or none of a class", path, n), "take a copy of the file, and name another to begin anew"}
		}
		l.size += int64(end) + 1
		all = all[end+1:]
	}
	return l.f.Truncate(l.size)
}

// parse reads a line: eight hexadecimal digits of a checksum, a blank, and the record.
func parse(line []byte) (r record, err error) {
	sum, text, ok := bytes.Cut(line, []byte(" "))
	if !ok {
		return r, errors.New("no checksum")
	}
	want, err := strconv.ParseUint(string(sum), 16, 32)
	if err != nil {
		return r, err
	}
	if crc32.ChecksumIEEE(text) != uint32(want) {
		return r, errors.New("the checksum is another")
	}
	return r, json.Unmarshal(text, &r)
}

// write keeps a record before it returns. After a failure nothing more is kept, so that
// there is no gap.
func (l *logFile) write(r record) error {
	if l.failed != nil {
		return l.failed
	}
	text, err := json.Marshal(r)
	if err != nil {
		return err
	}
	line := fmt.Appendf(nil, "%08x %s\n", crc32.ChecksumIEEE(text), text)
	if _, err = l.f.WriteAt(line, l.size); err == nil {
		err = l.f.Sync()
	}
	if err != nil {
		// What of it was written is cut off, now or when it is opened next.
		if cut := l.f.Truncate(l.size); cut != nil {
			l.failed = unkept{&Error{"the class cannot be kept any more: " + cut.Error(), "make room on the disk, and begin again"}}
		}
		return unkept{&Error{"it could not be kept: " + err.Error(), "make room on the disk"}}
	}
	l.size += int64(len(line))
	return nil
}

func (l *logFile) close() error {
	if l.failed == nil {
		l.failed = unkept{&Error{"the class is closed", ""}}
	}
	return l.f.Close()
}
