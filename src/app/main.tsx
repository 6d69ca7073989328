import { createRoot } from 'react-dom/client';
import { App } from './app.tsx';
import { AppProvider } from './session/app_context.tsx';

const root = document.getElementById('app');
if (!root) throw new Error('index.html has no #app');
createRoot(root).render(
  <AppProvider>
    <App />
  </AppProvider>,
);
