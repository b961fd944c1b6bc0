// The page as one file.

export const single = {
  single: {
    button: 'One file',
    hint: 'Save one HTML file with this page, the model and your review in it. It opens from disk in any current browser, without a network.',
    making: 'Putting page, model and review into one file …',
    made: (model, size) => `One file with this page, ${model} and your review of it: ${size}.`,
    parts: (model, review) => `Of these the model takes ${model} and the review ${review}.`,
    shares: 'Whoever has the file has the whole model.',
    save: 'Save it',
    leave: 'Leave it',
    failed: (why) => `No file was made: ${why}`,
    noHost: 'this browser does not hold single.html yet, which the file is made from, and the host of this page does not answer. Try again with a network.',
    otherVersion: 'the host of this page has a newer version, and single.html with it. Load the page again, then make the file.',
    noTemplate: 'single.html, which it is made from, is not beside this page.',
    changed: 'the model’s file is not the one that is open any more. Open it again first.',
    within: 'The review in this file',
    fromFile: 'Use the one in this file',
  },
};
