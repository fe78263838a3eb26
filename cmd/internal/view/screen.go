package view

import (
	"fmt"
	"os"
	"sync"
	"time"

	tea "charm.land/bubbletea/v2"
)

// A Screen is a State on a terminal, which it has to itself until it is closed.
type Screen struct {
	mu    sync.Mutex
	state State

	program *tea.Program
	quit    sync.Once
	done    chan struct{} // closed when the terminal has been given back
	failed  error         // once it is
}

// often is the time between two pictures.
const often = 100 * time.Millisecond

// Open puts a state on the terminal out. Where in is not nil, it is the terminal that keys
// come from: the first q or Ctrl-C calls stop, and the second gives the terminal back even
// if nothing has stopped. Signals are left alone.
func Open(state State, in, out *os.File, stop func()) *Screen {
	s := &Screen{state: state, done: make(chan struct{})}
	o := []tea.ProgramOption{tea.WithOutput(out), tea.WithoutSignalHandler(), tea.WithFPS(int(time.Second / often))}
	if in == nil {
		o = append(o, tea.WithInput(nil))
	} else {
		o = append(o, tea.WithInput(in))
	}
	s.program = tea.NewProgram(model{screen: s, stop: stop}, o...)
	go func() {
		defer close(s.done)
		if _, err := s.program.Run(); err != nil {
			s.failed = fmt.Errorf("the screen could not be drawn: %w", err)
			stop()
		}
	}()
	return s
}

// Do changes what is shown. It does not wait for the terminal.
func (s *Screen) Do(change func(*State)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	change(&s.state)
}

// Close gives the terminal back as it was, and waits until it is. It may be called more
// than once, and by whoever is about to panic.
func (s *Screen) Close() error {
	s.quit.Do(s.program.Quit)
	<-s.done
	return s.failed
}

// render draws it for a terminal of such a size.
func (s *Screen) render(wide, high int) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.state.Render(wide, high)
}

// model is what bubbletea asks.
type model struct {
	screen     *Screen
	stop       func()
	wide, high int
	stopped    bool
}

type tick struct{}

func next() tea.Cmd { return tea.Tick(often, func(time.Time) tea.Msg { return tick{} }) }

func (m model) Init() tea.Cmd { return next() }

func (m model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tick:
		return m, next()
	case tea.WindowSizeMsg:
		m.wide, m.high = msg.Width, msg.Height
	case tea.KeyPressMsg:
		if k := msg.String(); k != "q" && k != "ctrl+c" {
			break
		}
		if m.stopped {
			return m, tea.Quit
		}
		m.stopped = true
		m.stop()
		m.screen.Do(func(s *State) { s.Ends = "ending: what was heard is being measured" })
	}
	return m, nil
}

func (m model) View() tea.View {
	v := tea.NewView("")
	if m.wide > 0 && m.high > 0 {
		v.SetContent(m.screen.render(m.wide, m.high))
	}
	v.AltScreen = true
	return v
}
