package workbench_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"

	"sinew/workbench"
)

// A server of the example jobs answers what a page, or any program, asks.
func Example() {
	dir, err := os.MkdirTemp("", "workspace")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	if err := os.CopyFS(dir, os.DirFS("../examples")); err != nil {
		fmt.Println(err)
		return
	}
	s, err := workbench.New(workbench.Options{Dir: dir})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer s.Close()
	ask := httptest.NewRequest(http.MethodGet, "http://localhost/api/unit?kind=force&text=2.4+kN", nil)
	answer := httptest.NewRecorder()
	s.ServeHTTP(answer, ask)
	fmt.Println(answer.Code, strings.TrimSpace(answer.Body.String()))

	elsewhere := httptest.NewRequest(http.MethodGet, "http://localhost/api/jobs", nil)
	elsewhere.Header.Set("Origin", "http://other.example")
	answer = httptest.NewRecorder()
	s.ServeHTTP(answer, elsewhere)
	fmt.Println(answer.Code)
	// Output:
	// 200 {"value":2400,"unit":"N","text":"2.4 kN"}
	// 403
}
