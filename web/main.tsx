import { QueryClient, QueryClientProvider } from '@tanstack/react-query';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { ApiProblem } from './api/request.ts';
import { App } from './app.tsx';
import './design/index.css';
import { applyTheme } from './views/shared/preferences.ts';

applyTheme();

const queryClient = new QueryClient({
  defaultOptions: {
    queries: {
      staleTime: 30_000,
      // A refusal (4xx) will not change by asking again; a server that is starting may answer the second time.
      retry: (failures, error) => failures < 2 && !(error instanceof ApiProblem && error.status >= 400),
      refetchOnWindowFocus: false,
    },
  },
});

const root = document.getElementById('root');
if (root === null) throw new Error('index.html has no element with id "root"');
createRoot(root).render(
  <StrictMode>
    <QueryClientProvider client={queryClient}>
      <App />
    </QueryClientProvider>
  </StrictMode>,
);
