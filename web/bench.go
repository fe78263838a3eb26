package web

import (
	"context"
	"net/http"
	"time"
)

const (
	benchPath   = "/bench.json"
	benchTime   = 10 * time.Second // for what is owned to be read
	mostAtBench = 2                // who read it at once: others wait
)

// bench tells what the user owns.
func (s *Server) bench(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), benchTime)
	defer cancel()
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	v, err := s.read(ctx)
	if err != nil {
		v = troubled{TroubleOf(err)}
	}
	w.Write(encode(v))
}

func (s *Server) read(ctx context.Context) (any, error) {
	if s.o.Bench == nil || s.room != nil {
		return nil, problem{Trouble{Say: "there is no stock to be looked at here"}}
	}
	select {
	case s.desk <- struct{}{}:
		defer func() { <-s.desk }()
	case <-ctx.Done():
		return nil, problem{Trouble{Say: "the stock is busy", Hint: "look again in a moment"}}
	}
	return s.o.Bench(ctx)
}
