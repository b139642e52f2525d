package health

import (
	"net"
	"strconv"
	"strings"
	"time"
)

// Manager is the service manager that started us, told by datagrams on the
// socket it named (the protocol of sd_notify(3)). The zero Manager, where
// nobody asked to be told, is told nothing.
type Manager struct {
	socket string
	every  time.Duration // how often it wants to hear that we are alive; 0 for never
}

// ManagerOf reads the environment.
func ManagerOf(environ []string) (m Manager) {
	for _, line := range environ {
		switch name, value, _ := strings.Cut(line, "="); name {
		case "NOTIFY_SOCKET":
			m.socket = value
		case "WATCHDOG_USEC":
			if n, err := strconv.ParseInt(value, 10, 64); err == nil && n > 0 {
				m.every = time.Duration(n) * time.Microsecond
			}
		}
	}
	return m
}

// Every is how often to say Alive: three times for each that it waits for.
func (m Manager) Every() time.Duration { return m.every / 3 }

// Ready, Alive and Stopping tell it so.
func (m Manager) Ready() error    { return m.tell("READY=1") }
func (m Manager) Alive() error    { return m.tell("WATCHDOG=1") }
func (m Manager) Stopping() error { return m.tell("STOPPING=1") }

func (m Manager) tell(what string) error {
	if m.socket == "" {
		return nil
	}
	// Go knows @ for an abstract name
	c, err := net.DialUnix("unixgram", nil, &net.UnixAddr{Name: m.socket, Net: "unixgram"})
	if err != nil {
		return err
	}
	defer c.Close()
	_, err = c.Write([]byte(what))
	return err
}
