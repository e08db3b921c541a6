import { Component, type ReactNode } from 'react';
import { Failure } from './states.tsx';

/** Keeps a fault in one screen from taking the menu with it. */
export class ScreenBoundary extends Component<{ children: ReactNode }, { error: unknown }> {
  override state: { error: unknown } = { error: null };
  static getDerivedStateFromError(error: unknown) {
    return { error };
  }
  override render() {
    const { error } = this.state;
    if (error === null) return this.props.children;
    return <Failure what="this screen" error={error} retry={() => this.setState({ error: null })} />;
  }
}
