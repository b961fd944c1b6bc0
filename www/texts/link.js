// A view with its review as a link: making one, and what is told of one that was opened.

export const link = {
  link: {
    copy: 'Copy link',
    copyHint: 'Make a link that shows this view and the ledger as they are, with your judgements and pins',
    title: 'Link to this review',
    holds: 'It holds your view, pass and lamps, limits, zones and colours, judgements and pins, with all their words.',
    lacks: 'Checklist, named sections, rating and pictures stay out: for those, save the review as a file.',
    source: {
      demo: 'The model is the demo, which is beside the page.',
      address: (address) => `The model is fetched from ${address}, after whoever opens the link has agreed.`,
      packed: 'The model is in the link itself: whoever has the link has the model.',
      own: 'The model is not in it. Whoever opens the link must have the file; it is known by its hash.',
    },
    pack: 'Put the model into the link',
    text: 'Link',
    making: 'The link is being made.',
    length: (n) => `${n.toLocaleString('en-GB')} characters.`,
    long: 'Some mail programs cut links of more than 2,000. One that was cut says so when it is opened.',
    here: 'This page is served on your machine only. For others, replace what stands before # by where they have Rakelight.',
    sent: 'Nothing is sent: what stands after # stays in the browser that opens it.',
    none: (why) => `There is no link for this review. ${why} Save the review as a file.`,
    take: 'Copy',
    taken: 'Copied.',
    selected: 'The browser did not let the page copy it. The link is selected: press Ctrl+C.',
    close: 'Close',
    refused: 'The link could not be opened',
    advice: 'Nothing of it was used. Ask for it again, or for the review as a file.',
    noMore: 'its limits and colours are no JSON.',
    large: 'The model in the link unpacks to more than a link can hold.',
    broken: 'The model in the link cannot be unpacked.',
    from: 'It comes with the link that you opened.',
    known: (hash) => `The SHA-256 of that model begins with ${hash}.`,
    differs: (link, open) =>
      `Its SHA-256 begins with ${link}; that of the open one begins with ${open}. Ask for the file that the link was made on.`,
    applied: 'The review in the link is in use. Undo brings back what was here before.',
  },
};
