package trial

import (
	"context"
	"math"
	"time"

	"pluckweigh/detect/detecttest"
)

// match sums up what a listener heard.
func match(l Listener, sounds []Sound, hz []float64) Match {
	m := Match{Listener: l.Name}
	for _, name := range bandNames {
		m.Bands = append(m.Bands, Share{Name: name})
	}
	var off []float64
	var steps [(snrTo - snrFrom) / snrStep]struct{ off, snr []float64 }
	for i, s := range sounds {
		b := &m.Bands[band(s.f0)]
		b.Sounds++
		if hz[i] == 0 {
			m.Silent++
			continue
		}
		truth := s.sounding
		if l.Rest {
			truth = s.rest
		}
		c := math.Abs(cents(hz[i], truth))
		if !(c <= wrongCents) {
			m.Wrong++
			b.Wrong++
			continue
		}
		off = append(off, c)
		for k := range steps {
			if inSNR(s.snr, float64(snrFrom+k*snrStep)) {
				steps[k].off, steps[k].snr = append(steps[k].off, c), append(steps[k].snr, s.snr)
			}
		}
	}
	m.Median, m.P95 = quantile(off, 0.5), quantile(off, 0.95)
	for _, st := range steps {
		if len(st.off) > 0 {
			m.BySNR = append(m.BySNR, Error{mean(st.snr), len(st.off), rms(st.off)})
		}
	}
	return m
}

// Rivals makes listeners of general pitch detectors: the median of what they
// track in each sound's window.
func Rivals(ctx context.Context) ([]Listener, error) {
	var out []Listener
	for _, r := range detecttest.Rivals() {
		start, err := r.Start(ctx)
		if err != nil {
			return nil, err
		}
		out = append(out, Listener{Name: r.Name, Hear: func(ctx context.Context, sounds []Sound) ([]float64, time.Duration, error) {
			var wavs []detecttest.Wav
			for _, s := range sounds {
				wavs = append(wavs, s.Wav)
			}
			tracks, cpu, err := r.Hear(ctx, wavs, start)
			if err != nil {
				return nil, 0, err
			}
			var hz []float64
			for i, t := range tracks {
				f, _ := t.Median(sounds[i].From, sounds[i].To)
				hz = append(hz, f)
			}
			return hz, cpu, nil
		}})
	}
	return out, nil
}
