// Reference factorisations for the comparison: one matrix, lower triangle by
// columns. All functions return 0 when the library reports success.
typedef struct reference reference;

// library: 0 CHOLMOD, 1 MUMPS; ordering: 0 AMD, 1 METIS.
reference *reference_new(int library, int ordering, int threads, int n, int *colptr, int *row, double *val);
int reference_analyze(reference *r);
int reference_factor(reference *r);
int reference_solve(reference *r, double *b, int columns);
double reference_fill(reference *r);
void reference_free(reference *r);
const char *reference_kernel(void);
