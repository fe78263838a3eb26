package web

import (
	"context"
	"encoding/json"
	"sync"
)

// An outbox is what a page is to be told and has not been sent. It implements Teller.
type outbox struct {
	mu      sync.Mutex
	results [][]byte
	sign    []byte // the latest, nil for none
	more    chan struct{}
	late    bool   // it was let go
	slow    func() // called once, when the page does not take what must arrive
}

// mostResults may wait: a page that is so far behind is of no use to anybody.
const mostResults = 256

func newOutbox(slow func()) *outbox {
	return &outbox{more: make(chan struct{}, 1), slow: slow}
}

// Sign implements Teller.
func (o *outbox) Sign(v any) {
	b := encode(v)
	o.mu.Lock()
	o.sign = b
	o.mu.Unlock()
	o.wake()
}

// Result implements Teller.
func (o *outbox) Result(v any) {
	b := encode(v)
	o.mu.Lock()
	defer o.mu.Unlock()
	switch {
	case o.late:
	case len(o.results) >= mostResults:
		o.late = true
		go o.slow() // which takes leave, and that takes time
	default:
		o.results = append(o.results, b)
		o.wake()
	}
}

// encode is v in JSON. What cannot be encoded is a mistake of the program's, which the
// page is told.
func encode(v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		b, _ = json.Marshal(troubled{TroubleOf(err)})
	}
	return b
}

func (o *outbox) wake() {
	select {
	case o.more <- struct{}{}:
	default:
	}
}

// next waits for what to send: results in their order, and then the latest sign.
func (o *outbox) next(ctx context.Context) ([]byte, error) {
	for {
		if b := o.take(); b != nil {
			return b, nil
		}
		select {
		case <-o.more:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

func (o *outbox) take() []byte {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.results) > 0 {
		b := o.results[0]
		o.results = o.results[1:]
		return b
	}
	b := o.sign
	o.sign = nil
	return b
}
