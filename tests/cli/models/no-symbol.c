/* A library that is no model. */
__attribute__((visibility("default"))) int something_else = 1;
