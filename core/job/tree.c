#include "job/tree.h"

#include <yaml.h>

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct es_tree {
  yaml_document_t document;
};

static yaml_node_t *node_of(const es_tree *tree, es_node node) {
  if (node == ES_NO_NODE) return NULL;
  return yaml_document_get_node((yaml_document_t *)&tree->document, node); /* reads only */
}

static void tell_parser(const yaml_parser_t *parser, const char *path, es_faults *faults) {
  const char *context = parser->context != NULL ? parser->context : "";
  const char *problem = parser->problem != NULL ? parser->problem : "out of memory";
  long line = parser->error == YAML_READER_ERROR ? 0 : (long)parser->problem_mark.line + 1;
  es_fault_add(faults, path, line, "not YAML: %s%s%s", context, context[0] != '\0' ? ", " : "", problem);
}

/* A second document would be passed over in silence: refused instead. */
static bool ends_here(yaml_parser_t *parser, const char *path, es_faults *faults) {
  yaml_document_t next;
  if (!yaml_parser_load(parser, &next)) {
    tell_parser(parser, path, faults);
    return false;
  }
  yaml_node_t *root = yaml_document_get_root_node(&next);
  if (root != NULL)
    es_fault_add(faults, path, (long)root->start_mark.line + 1, "a second document begins here: want one");
  yaml_document_delete(&next);
  return root == NULL;
}

static bool load(es_tree *tree, FILE *file, const char *path, es_faults *faults) {
  yaml_parser_t parser;
  if (!yaml_parser_initialize(&parser)) {
    es_fault_memory(faults, path);
    return false;
  }
  yaml_parser_set_input_file(&parser, file);
  bool ok = yaml_parser_load(&parser, &tree->document) != 0;
  if (!ok)
    tell_parser(&parser, path, faults);
  else if (yaml_document_get_root_node(&tree->document) == NULL) {
    es_fault_add(faults, path, 1, "the file is empty: want keys and values");
    yaml_document_delete(&tree->document);
    ok = false;
  } else if (!ends_here(&parser, path, faults)) {
    yaml_document_delete(&tree->document);
    ok = false;
  }
  yaml_parser_delete(&parser);
  return ok;
}

es_tree *es_tree_open(const char *path, es_faults *faults) {
  FILE *file = fopen(path, "rb");
  if (file == NULL) {
    es_fault_add(faults, path, 0, "cannot be read (%s)", strerror(errno));
    return NULL;
  }
  es_tree *tree = calloc(1, sizeof *tree);
  if (tree == NULL)
    es_fault_memory(faults, path);
  else if (!load(tree, file, path, faults)) {
    free(tree);
    tree = NULL;
  }
  fclose(file);
  return tree;
}

void es_tree_close(es_tree *tree) {
  if (tree == NULL) return;
  yaml_document_delete(&tree->document);
  free(tree);
}

es_node es_tree_root(const es_tree *tree) {
  (void)tree;
  return 1; /* libyaml counts nodes from 1, the root first */
}

static bool is_empty(const yaml_node_t *node) {
  const char *text = (const char *)node->data.scalar.value;
  if (node->data.scalar.style != YAML_PLAIN_SCALAR_STYLE) return false;
  return text[0] == '\0' || strcmp(text, "~") == 0 || strcmp(text, "null") == 0;
}

es_node_kind es_tree_kind(const es_tree *tree, es_node node) {
  const yaml_node_t *n = node_of(tree, node);
  if (n == NULL) return ES_NODE_NONE;
  switch (n->type) {
  case YAML_SCALAR_NODE: return is_empty(n) ? ES_NODE_EMPTY : ES_NODE_TEXT;
  case YAML_SEQUENCE_NODE: return ES_NODE_LIST;
  case YAML_MAPPING_NODE: return ES_NODE_MAP;
  case YAML_NO_NODE:
  default: return ES_NODE_NONE;
  }
}

long es_tree_line(const es_tree *tree, es_node node) {
  const yaml_node_t *n = node_of(tree, node);
  return n != NULL ? (long)n->start_mark.line + 1 : 0;
}

const char *es_tree_text(const es_tree *tree, es_node node) {
  if (es_tree_kind(tree, node) != ES_NODE_TEXT) return "";
  return (const char *)node_of(tree, node)->data.scalar.value;
}

size_t es_tree_count(const es_tree *tree, es_node node) {
  const yaml_node_t *n = node_of(tree, node);
  if (n != NULL && n->type == YAML_SEQUENCE_NODE)
    return (size_t)(n->data.sequence.items.top - n->data.sequence.items.start);
  if (n != NULL && n->type == YAML_MAPPING_NODE)
    return (size_t)(n->data.mapping.pairs.top - n->data.mapping.pairs.start);
  return 0;
}

es_node es_tree_item(const es_tree *tree, es_node list, size_t i) {
  const yaml_node_t *n = node_of(tree, list);
  if (n == NULL || n->type != YAML_SEQUENCE_NODE || i >= es_tree_count(tree, list)) return ES_NO_NODE;
  return n->data.sequence.items.start[i];
}

es_node es_tree_key(const es_tree *tree, es_node map, size_t i) {
  const yaml_node_t *n = node_of(tree, map);
  if (n == NULL || n->type != YAML_MAPPING_NODE || i >= es_tree_count(tree, map)) return ES_NO_NODE;
  return n->data.mapping.pairs.start[i].key;
}

es_node es_tree_value(const es_tree *tree, es_node map, size_t i) {
  const yaml_node_t *n = node_of(tree, map);
  if (n == NULL || n->type != YAML_MAPPING_NODE || i >= es_tree_count(tree, map)) return ES_NO_NODE;
  return n->data.mapping.pairs.start[i].value;
}
