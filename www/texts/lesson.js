// A lesson: views of one or two models in an order, with text.

export const lesson = {
  lesson: {
    label: 'Lesson',
    steps: 'Steps of the lesson',
    back: 'Back',
    next: 'Next',
    of: (n, all) => `Step ${n} of ${all}`,
    said: (n, all, text) => `Step ${n} of ${all}. ${text}`,
  },
};
