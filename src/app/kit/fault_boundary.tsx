import { reason } from '../../plan/reason.ts';
import { Component, type ReactNode } from 'react';
import { problemWords } from '../words/problem_words.ts';

/** Stands in for a screen that failed to load or to draw, so that the rest of the app stays. */
export class FaultBoundary extends Component<{ children: ReactNode }, { message?: string }> {
  override state: { message?: string } = {};

  static getDerivedStateFromError(error: unknown): { message: string } {
    return { message: reason(error) };
  }

  override render(): ReactNode {
    const { message } = this.state;
    if (message === undefined) return this.props.children;
    return (
      <div className="note note-warn" role="alert">
        <p>{problemWords.screen(message)}</p>
        <button type="button" onClick={() => window.location.reload()}>
          {problemWords.reload}
        </button>
      </div>
    );
  }
}
