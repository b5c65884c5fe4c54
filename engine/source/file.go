package source

import (
	"bytes"
	"fmt"
	"sort"
	"sync"
	"unicode/utf8"
)

// A File is a named text. Name is what messages call it, usually its path as the user gave it.
type File struct {
	Name string
	Text []byte

	once   sync.Once
	starts []int // byte offset of the first byte of each line
	ascii  bool  // columns are byte counts
}

// NewFile makes a File of the text, without a byte order mark if it starts with one.
func NewFile(name string, text []byte) *File {
	return &File{Name: name, Text: bytes.TrimPrefix(text, []byte("\ufeff"))}
}

// A Pos is a place in a file. Line and Column count from one, Column in characters (a tab is one).
// Line 0 means the file as a whole.
type Pos struct {
	File   *File
	Line   int
	Column int
}

// String gives file:line:column, or the file's name alone for the file as a whole.
func (p Pos) String() string {
	switch {
	case p.File == nil:
		return "?"
	case p.Line == 0:
		return p.File.Name
	}
	return fmt.Sprintf("%s:%d:%d", p.File.Name, p.Line, p.Column)
}

// Whole is the position that means the file as a whole.
func (f *File) Whole() Pos { return Pos{File: f} }

// index finds the lines once; a file in which nothing is wrong is never indexed.
func (f *File) index() {
	f.once.Do(func() {
		f.starts = append(f.starts, 0)
		f.ascii = true
		for i, c := range f.Text {
			if c == '\n' {
				f.starts = append(f.starts, i+1)
			}
			f.ascii = f.ascii && c < utf8.RuneSelf
		}
	})
}

// Line gives the text of line n (from one) without its line break; "" where there is no such line.
func (f *File) Line(n int) string { return string(f.line(n)) }

// line is Line without a copy.
func (f *File) line(n int) []byte {
	f.index()
	if n < 1 || n > len(f.starts) {
		return nil
	}
	end := len(f.Text)
	if n < len(f.starts) {
		end = f.starts[n] - 1
	}
	return bytes.TrimSuffix(f.Text[f.starts[n-1]:end], []byte("\r"))
}

// PosAt is the place of the byte at offset, which may be one past the last.
func (f *File) PosAt(offset int) Pos {
	f.index()
	offset = min(max(offset, 0), len(f.Text))
	line := sort.SearchInts(f.starts, offset+1)
	start := f.starts[line-1]
	column := offset - start
	if !f.ascii {
		column = utf8.RuneCount(f.Text[start:offset])
	}
	return Pos{f, line, column + 1}
}

// Offset is the byte offset of a place in its file, the inverse of [File.PosAt].
func (p Pos) Offset() int { return p.File.offset(p.Line, p.Column) }

// offset is the byte offset of a place; columns past the end of a line give its end.
func (f *File) offset(line, column int) int {
	f.index()
	if line < 1 || line > len(f.starts) {
		return len(f.Text)
	}
	start := f.starts[line-1]
	end := start + len(f.line(line))
	if f.ascii {
		return min(start+column-1, end)
	}
	for i := start; i < end; {
		if column--; column < 1 {
			return i
		}
		_, n := utf8.DecodeRune(f.Text[i:])
		i += n
	}
	return end
}
