import { Page } from '../shared/page.tsx';

export function JointsScreen() {
  return <Page title="Joints">Being built.</Page>;
}
