package audiotest

import (
	"context"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"pluckweigh/audio"
)

func TestConformPasses(t *testing.T) {
	tests := []struct {
		name    string
		end     error
		options []Option
	}{
		{"finite", io.EOF, nil},
		{"failing", errBroken, []Option{FailsWith(errBroken)}},
		{"waiting", nil, []Option{Endless(total)}},
		{"endless", nil, []Option{Endless(total / 2)}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			open := opener(tt.end, nil)
			Conform(t, func(*testing.T) audio.Source { return open() }, tt.options...)
		})
	}
}

// TestConformFails breaks the contract in one way after another: the clause
// that covers it has to say so.
func TestConformFails(t *testing.T) {
	read := func(r func(f *fake, ctx context.Context, dst []float64) (int, error)) func(*fake) {
		return func(f *fake) { f.read = r }
	}
	// after changes what the good Read returned.
	after := func(change func(f *fake, dst []float64, n int, err error) (int, error)) func(*fake) {
		return read(func(f *fake, ctx context.Context, dst []float64) (int, error) {
			n, err := f.good(ctx, dst)
			return change(f, dst, n, err)
		})
	}
	rate := func(r func(f *fake) float64) func(*fake) { return func(f *fake) { f.rate = r } }
	list := func(l func(f *fake) []audio.Flaw) func(*fake) { return func(f *fake) { f.list = l } }
	tests := []struct {
		name   string
		clause string
		want   string // part of what it says
		end    error
		c      config
		hook   func(f *fake)
	}{
		{"rate of zero", "reads", "Rate is 0", io.EOF, config{}, rate(func(*fake) float64 { return 0 })},
		{"rate not a number", "reads", "Rate is NaN", io.EOF, config{}, rate(func(*fake) float64 { return math.NaN() })},
		{"rate without bounds", "reads", "Rate is +Inf", io.EOF, config{}, rate(func(*fake) float64 { return math.Inf(1) })},
		{"rate changes", "reads", "Rate changed", io.EOF, config{}, rate(func(f *fake) float64 { return 48000 + float64(f.next/5000) })},
		{"nothing and no error", "reads", "neither samples nor an error", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == io.EOF {
				return 0, nil
			}
			return n, err
		})},
		{"samples with the error", "reads", "samples and an error", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if f.next == f.total && n > 0 {
				return n, io.EOF
			}
			return n, err
		})},
		{"more than asked for", "reads", "returned 2 for 1", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if n > 0 {
				n = len(dst) + 1
			}
			return n, err
		})},
		{"negative count", "reads", "returned -1 for", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err != nil {
				n = -1
			}
			return n, err
		})},
		{"no samples at all", "reads", "no samples", io.EOF, config{}, func(f *fake) { f.total = 0 }},
		{"NaN", "reads", "is NaN", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if n > 500 {
				dst[500] = math.NaN()
			}
			return n, err
		})},
		{"infinite", "reads", "is -Inf", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if n > 0 {
				dst[n-1] = math.Inf(-1)
			}
			return n, err
		})},
		{"beyond any scale", "reads", "is 1e+10", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if n > 0 {
				dst[0] = 1e10
			}
			return n, err
		})},
		{"scratch within dst", "reads", "changed sample 4095", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if n < len(dst) {
				dst[len(dst)-1] = 1
			}
			return n, err
		})},
		{"scratch beyond dst", "reads", "changed sample 3", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			dst[:cap(dst)][cap(dst)-1] = 0
			return n, err
		})},
		{"fails unannounced", "reads", "want io.EOF", errBroken, config{}, nil},
		{"ends though it should fail", "reads", "want device died", io.EOF, config{fails: errBroken}, nil},
		{"ends though endless", "reads", "endless source ended", io.EOF, config{endless: total + 1}, nil},
		{"hangs", "reads", "did not return", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == io.EOF {
				<-f.closed
			}
			return n, err
		})},
		{"takes for nothing", "empty", "Read into nil returned 0, short buffer", io.EOF, config{}, read(func(f *fake, ctx context.Context, dst []float64) (int, error) {
			if dst == nil {
				return 0, io.ErrShortBuffer
			}
			return f.good(ctx, dst)
		})},
		{"waits for nothing", "empty", "did not return", io.EOF, config{}, read(func(f *fake, ctx context.Context, dst []float64) (int, error) {
			if len(dst) == 0 {
				<-f.closed
			}
			return f.good(ctx, dst)
		})},
		{"drops what did not fit", "same", "read in one way", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if n == 7 {
				f.next = min(f.next+3, f.total)
			}
			return n, err
		})},
		{"end is forgotten", "end", "after the end", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == io.EOF {
				f.next--
			}
			return n, err
		})},
		{"error changes", "end", "before that device died", errBroken, config{fails: errBroken}, func(f *fake) {
			f.read = func(f *fake, ctx context.Context, dst []float64) (int, error) {
				n, err := f.good(ctx, dst)
				if err == errBroken {
					f.end = io.EOF
				}
				return n, err
			}
		}},
		{"flaw after the end", "end", "flaws changed", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == io.EOF {
				f.flaws = append(f.flaws, audio.Flaw{Kind: audio.Truncated, At: total})
			}
			return n, err
		})},
		{"context ignored", "cancelled", "context that is over", io.EOF, config{}, read(func(f *fake, ctx context.Context, dst []float64) (int, error) {
			return f.good(context.Background(), dst)
		})},
		{"context's error replaced", "cancelled", "over by context deadline exceeded", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == context.DeadlineExceeded {
				err = context.Canceled
			}
			return n, err
		})},
		{"context loses samples", "cancelled", "read in one way", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == context.Canceled {
				f.next = min(f.next+1, f.total)
			}
			return n, err
		})},
		{"context is the end", "cancelled", "over by context deadline exceeded", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == context.Canceled {
				f.next, f.end = f.total, context.Canceled
			}
			return n, err
		})},
		{"context does not wake", "cancelling", "did not return", nil, config{endless: total}, read(func(f *fake, ctx context.Context, dst []float64) (int, error) {
			if ctx.Err() != nil {
				return 0, ctx.Err()
			}
			return f.good(context.WithoutCancel(ctx), dst)
		})},
		{"context seen by waiting only", "cancelling", "context that is over", nil, config{endless: total / 2}, read(func(f *fake, ctx context.Context, dst []float64) (int, error) {
			if f.next == f.total {
				f.next = 0
			}
			return f.good(context.Background(), dst)
		})},
		{"second Close fails", "close", "Close 2 returned", io.EOF, config{}, func(f *fake) {
			f.close = func(f *fake) error {
				if f.isClosed() {
					return audio.ErrClosed
				}
				close(f.closed)
				return nil
			}
		}},
		{"Close hangs", "close", "Close 1 did not return", io.EOF, config{}, func(f *fake) {
			f.close = func(f *fake) error { select {} }
		}},
		{"reads on after Close", "close", "samples after Close", io.EOF, config{}, func(f *fake) {
			f.close = func(f *fake) error { return nil }
		}},
		{"EOF after Close", "close", "EOF after Close", io.EOF, config{}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == audio.ErrClosed {
				err = io.EOF
			}
			return n, err
		})},
		{"Close does not wake", "closing", "did not wake", nil, config{endless: total}, read(func(f *fake, ctx context.Context, dst []float64) (int, error) {
			if f.next == f.total && !f.isClosed() {
				<-ctx.Done()
				select {}
			}
			return f.good(ctx, dst)
		})},
		{"Close wakes with EOF", "closing", "ended Read with EOF", nil, config{endless: total}, after(func(f *fake, dst []float64, n int, err error) (int, error) {
			if err == audio.ErrClosed {
				err = io.EOF
			}
			return n, err
		})},
		{"flaw to come", "reads", "samples were delivered", io.EOF, config{}, list(func(f *fake) []audio.Flaw {
			return []audio.Flaw{{Kind: audio.Truncated, At: total}}
		})},
		{"flaw beyond what was delivered", "reads", "samples were delivered", io.EOF, config{}, list(func(f *fake) []audio.Flaw {
			return []audio.Flaw{{Kind: audio.NotFinite, At: int64(f.next), Len: 1}}
		})},
		{"stretch beyond what was delivered", "reads", "samples were delivered", io.EOF, config{}, list(func(f *fake) []audio.Flaw {
			return []audio.Flaw{{Kind: audio.Cancelled, At: 0, Len: int64(f.next) + 1}}
		})},
		{"flaw before the beginning", "reads", "is at -1", io.EOF, config{}, list(func(f *fake) []audio.Flaw {
			return []audio.Flaw{{Kind: audio.Overrun, At: -1, Len: 1}}
		})},
		{"flaws unsorted", "reads", "after one at", io.EOF, config{}, list(func(f *fake) []audio.Flaw {
			if f.next < 10 {
				return nil
			}
			return []audio.Flaw{{Kind: audio.NotFinite, At: 5, Len: 1}, {Kind: audio.NotFinite, At: 2, Len: 1}}
		})},
		{"flaws shared", "reads", "slice returned before", io.EOF, config{}, func(f *fake) {
			f.flaws = []audio.Flaw{{Kind: audio.Overrun, At: 0, Len: 1}}
			f.list = func(f *fake) []audio.Flaw { return f.flaws }
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			tt.c.patience = 500 * time.Millisecond
			for _, clause := range clauses {
				if clause.name != tt.clause {
					continue
				}
				err := clause.check(opener(tt.end, tt.hook), tt.c)
				if err == nil || !strings.Contains(err.Error(), tt.want) {
					t.Fatalf("clause %q says %v, want %q", clause.name, err, tt.want)
				}
				return
			}
			t.Fatalf("no clause %q", tt.clause)
		})
	}
}
