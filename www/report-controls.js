// The report in the Verdict pass: which pictures, making it, saving its tables; and the dialog that shows it before it is printed.

import { choice, el, replace } from './dom.js';
import { texts } from './texts.js';

const words = texts.handedOver;

/** `reports`: createReports(). */
export function mountReport(root, store, reports) {
  root.id = 'report-block';
  const pictures = el('div', {});
  const make = el('button', { type: 'button', id: 'report-make', class: 'strong', on: { click: () => reports.make() } }, words.make);
  const forms = Object.entries(words.forms).map(([form, label]) => el('button', { type: 'button', id: `report-${form}`, on: { click: () => reports.save(form) } }, label));
  replace(root, el('h3', {}, words.title), el('p', { class: 'quiet' }, words.hint), el('h4', {}, words.pictures), pictures, el('div', { class: 'buttons' }, make), el('h4', {}, words.tables), el('div', { class: 'buttons' }, forms));

  store.watch(
    ({ work }) => [work.model, work.report, work.busy, work.reportPictures, work.graphics],
    ({ work }) => {
      root.hidden = !work.model;
      make.disabled = work.busy !== null || work.report !== null;
      const options = Object.entries(words.which).map(([value, label]) => ({ id: `report-pictures-${value}`, value, label, title: words.whichHint[value] }));
      const take = (which) => store.dispatch({ type: 'choose-report-pictures', which });
      replace(pictures, work.graphics === 'ok' ? choice(words.pictures, options, work.reportPictures, take) : el('p', { class: 'quiet' }, words.noPictures));
    },
  );
}

/** The dialog: progress while pictures are taken, then the report itself in a frame that runs nothing. */
export function mountReportDialog(dialog, store, reports) {
  const bar = el('progress', { id: 'report-progress', max: '1' });
  const said = el('p', { role: 'status' });
  const cancel = el('button', { type: 'button', id: 'report-cancel', on: { click: () => dialog.close() } }, words.cancel);
  const taking = el('div', { class: 'report-taking' }, said, bar, el('div', { class: 'buttons' }, cancel));
  const sheet = el('div', {}); // holds the frame while there is a report to show
  const print = el('button', { type: 'button', id: 'report-print', class: 'strong', title: words.printHint, on: { click: () => document.getElementById('report-page').contentWindow.print() } }, words.print);
  const save = el('button', { type: 'button', id: 'report-save', on: { click: () => reports.savePage() } }, words.save);
  const close = el('button', { type: 'button', id: 'report-close', on: { click: () => dialog.close() } }, words.close);
  const shown = el('div', { class: 'report-shown' }, el('div', { class: 'buttons' }, el('h2', { id: 'report-title' }, words.page), print, save, close), sheet);
  dialog.setAttribute('aria-label', words.page);
  replace(dialog, taking, shown);
  shown.hidden = true;

  dialog.addEventListener('close', () => {
    if (store.state.work.report) reports.stop();
    shown.hidden = true;
    replace(sheet);
    document.getElementById('report-make')?.focus();
  });
  reports.onMade(({ text }) => {
    taking.hidden = true;
    shown.hidden = false;
    replace(sheet, el('iframe', { id: 'report-page', title: words.page, sandbox: 'allow-same-origin allow-modals', srcdoc: text }));
    print.focus();
  });
  store.watch(
    ({ work }) => [work.report],
    ({ work: { report } }) => {
      if (!report) {
        // Stopped, or not made: what is shown stays until it is closed.
        if (dialog.open && shown.hidden) dialog.close();
        return;
      }
      taking.hidden = false;
      shown.hidden = true;
      said.textContent = report.writing || report.of === 0 ? words.writing : words.taking(report.done, report.of);
      bar.value = report.of > 0 ? report.done / report.of : 0;
      if (!dialog.open) dialog.showModal();
    },
  );
}
