/* tree.h - a YAML file as a tree of nodes with their lines [libyaml]. Nothing is judged here but the YAML itself.
 *
 * A node is a number; ES_NO_NODE is none, and every question about it has a harmless answer. Texts are borrowed
 * from the tree. Aliases (*name) lead to the node they name. */
#ifndef EARSHOT_JOB_TREE_H
#define EARSHOT_JOB_TREE_H

#include <stddef.h>

#include "base/faults.h"

typedef struct es_tree es_tree;
typedef int es_node;
enum { ES_NO_NODE = 0 };
typedef enum es_node_kind {
  ES_NODE_NONE,
  ES_NODE_EMPTY, /* nothing, ~ or null */
  ES_NODE_TEXT,
  ES_NODE_LIST,
  ES_NODE_MAP
} es_node_kind;

/* Reads the one document of a file. NULL and a fault with its line when it is no YAML. */
es_tree *es_tree_open(const char *path, es_faults *faults);
void es_tree_close(es_tree *tree);
es_node es_tree_root(const es_tree *tree);
es_node_kind es_tree_kind(const es_tree *tree, es_node node);
long es_tree_line(const es_tree *tree, es_node node);
const char *es_tree_text(const es_tree *tree, es_node node); /* "" unless ES_NODE_TEXT */
size_t es_tree_count(const es_tree *tree, es_node node);     /* items of a list, pairs of a map */
es_node es_tree_item(const es_tree *tree, es_node list, size_t i);
es_node es_tree_key(const es_tree *tree, es_node map, size_t i);
es_node es_tree_value(const es_tree *tree, es_node map, size_t i);

#endif
