// The page about elements in other pages; what it tells stands in embedding.html itself.

export const embedding = {
  embedding: {
    copy: 'Copy',
    copied: 'Copied',
    marked: 'Marked: copy it with your keyboard',
  },
};
